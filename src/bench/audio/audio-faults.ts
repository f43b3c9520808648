import { BenchFault, type Explanation, InputError } from '../../errors/ohmest-error.js';

/** The bench file asks for a rate that is no audio rate. */
export class AudioRateUnknown extends InputError {
  readonly code = 'AUDIO_RATE';
}

/** The bench file's channels do not fit its interface. */
export class AudioChannelMap extends InputError {
  readonly code = 'AUDIO_CHANNEL_MAP';
}

/** naudiodon is not installed, or does not load. */
export class AudioUnavailable extends BenchFault {
  readonly code = 'AUDIO_UNAVAILABLE';
}

/** No device of that name. */
export class DeviceNotFound extends BenchFault {
  readonly code = 'DEVICE_NOT_FOUND';
}

/** The device is there but does not open as asked. */
export class DeviceRefused extends BenchFault {
  readonly code = 'DEVICE_REFUSED';
}

/** The device stopped delivering: unplugged, suspended, its server gone. */
export class DeviceStalled extends BenchFault {
  readonly code = 'DEVICE_STALLED';
}

/** The driver or the frame counts tell of lost samples. */
export class Dropout extends BenchFault {
  readonly code = 'DROPOUT';
}

/** This program did not deliver samples in time, so the output was faded out. */
export class PlaybackStarved extends BenchFault {
  readonly code = 'PLAYBACK_STARVED';
}

/** Captured samples were not fetched for too long. */
export class CaptureOverrun extends BenchFault {
  readonly code = 'CAPTURE_OVERRUN';
}

/** The process that holds the sound device ended by itself. */
export class ChildDied extends BenchFault {
  readonly code = 'CHILD_DIED';
}

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
