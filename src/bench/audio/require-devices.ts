import type { BenchSetup } from '../bench-setup.js';
import { hostFault } from './audio-faults.js';
import { chooseDevice, HostRefusal } from './device-choice.js';
import { listDevices } from './list-devices.js';

/**
 * Makes sure that the devices of an audio bench are there, before a person answers a checklist for nothing. They may
 * still vanish before the first tone; opening them checks again.
 *
 * @throws DeviceNotFound, DeviceRefused, AudioUnavailable, ChildDied or DeviceStalled
 */
export async function requireDevices(setup: BenchSetup): Promise<void> {
  if (setup.interface.kind !== 'audio') return;
  const { playDevice, captureDevice, playChannels, captureChannels } = setup.interface;
  const devices = (await listDevices()).map(({ name, system, inputs, outputs }) => ({
    name,
    hostAPIName: system,
    maxInputChannels: inputs,
    maxOutputChannels: outputs,
  }));
  try {
    chooseDevice(devices, playDevice, 'play', playChannels);
    chooseDevice(devices, captureDevice, 'capture', captureChannels);
  } catch (error) {
    if (error instanceof HostRefusal) throw hostFault(error.code, error.explanation);
    throw error;
  }
}
