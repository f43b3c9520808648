import type { BenchSetup } from '../bench-setup.js';
import { ChildDied, DeviceStalled, hostFault } from './audio-faults.js';
import { chooseDevice, HostRefusal } from './device-choice.js';
import { HostProcess } from './host-process.js';
import type { AudioDevice } from './protocol.js';

/** A sound system that hangs must not hang the command. */
const LONGEST_MS = 10_000;

/**
 * The sound devices of this machine as PortAudio sees them now. A process of its own looks, because PortAudio
 * freezes its list while a stream is open.
 *
 * @throws AudioUnavailable when naudiodon is missing
 * @throws ChildDied or DeviceStalled when the sound system crashes or hangs
 */
export async function listDevices(): Promise<readonly AudioDevice[]> {
  let host: HostProcess | null = null;
  let timer: NodeJS.Timeout | undefined;
  try {
    return await new Promise((resolve, reject) => {
      const late = new DeviceStalled({
        what: `the sound system gave no answer within ${LONGEST_MS / 1000} s`,
      });
      timer = setTimeout(() => reject(late), LONGEST_MS);
      host = new HostProcess({
        message: (message) => {
          if (message.kind === 'devices') resolve(message.devices);
          else if (message.kind === 'failed') reject(hostFault(message.code, message.explanation));
        },
        line: () => {},
        ended: (how) => reject(new ChildDied({ what: `the process that lists the sound devices ${how}` })),
      });
      host.tell({ kind: 'list' });
    });
  } finally {
    clearTimeout(timer);
    (host as HostProcess | null)?.kill();
  }
}

/**
 * Makes sure that the devices of an audio bench are there, before a person answers a checklist for nothing. They may
 * still vanish before the first tone; opening them checks again.
 *
 * @throws DeviceNotFound, DeviceRefused, AudioUnavailable, ChildDied or DeviceStalled
 */
export async function requireDevices(setup: BenchSetup): Promise<void> {
  if (setup.interface.kind !== 'audio') return;
  const { playDevice, captureDevice, playChannels, captureChannels } = setup.interface;
  const devices = await listDevices();
  try {
    chooseDevice(devices, playDevice, 'play', playChannels);
    chooseDevice(devices, captureDevice, 'capture', captureChannels);
  } catch (error) {
    if (error instanceof HostRefusal) throw hostFault(error.code, error.explanation);
    throw error;
  }
}
