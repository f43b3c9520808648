import { asTold, benchFault, inputError } from '../../errors/error-table.js';
import type { BenchFault, Explanation } from '../../errors/ohmest-error.js';

/** The bench file asks for a rate that is no audio rate. */
export const AudioRate = inputError('AUDIO_RATE', asTold);

/** The bench file's channels do not fit its interface. */
export const AudioChannelMap = inputError('AUDIO_CHANNEL_MAP', asTold);

/** naudiodon is not installed, or does not load. */
export const AudioUnavailable = benchFault('AUDIO_UNAVAILABLE', asTold);

/** No device of that name. */
export const DeviceNotFound = benchFault('DEVICE_NOT_FOUND', asTold);

/** The device is there but does not open as asked. */
export const DeviceRefused = benchFault('DEVICE_REFUSED', asTold);

/** The device stopped delivering: unplugged, suspended, its server gone. */
export const DeviceStalled = benchFault('DEVICE_STALLED', asTold);

/** The process that holds the sound device ended by itself. */
export const ChildDied = benchFault('CHILD_DIED', asTold);

const HOST_FAULTS = {
  AUDIO_UNAVAILABLE: AudioUnavailable,
  DEVICE_NOT_FOUND: DeviceNotFound,
  DEVICE_REFUSED: DeviceRefused,
};

/** Faults that the host process can find. */
export type HostFaultCode = keyof typeof HOST_FAULTS;

/** A fault as it comes over from the host process, made an error again. */
export function hostFault(code: HostFaultCode, explanation: Explanation): BenchFault {
  return new HOST_FAULTS[code](explanation);
}
