import type { Explanation } from '../../errors/ohmest-error.js';
import type { HostFaultCode } from './audio-faults.js';
import type { AudioDevice } from './protocol.js';

/** What the host process cannot do, on its way to the bench. */
export class HostRefusal extends Error {
  constructor(
    readonly code: HostFaultCode,
    readonly explanation: Explanation,
  ) {
    super(explanation.what);
  }
}

/**
 * The one device of that name with enough channels. Names must match exactly, since naudiodon opens the default
 * device for an index it does not know; `SYSTEM/NAME` tells apart devices that two driver families list alike.
 *
 * @throws HostRefusal listing the devices that could be meant
 */
export function chooseDevice<D extends AudioDevice>(
  devices: readonly D[],
  name: string,
  direction: 'play' | 'capture',
  channels: number,
): D {
  const room = (device: AudioDevice) => (direction === 'play' ? device.outputs : device.inputs);
  const qualified = (device: AudioDevice) => `${device.system}/${device.name}`;
  const named = devices.filter((device) => name === device.name || name === qualified(device));
  const fit = named.filter((device) => room(device) >= channels);
  const [chosen] = fit;
  if (chosen && fit.length === 1) return chosen;
  if (chosen) {
    throw new HostRefusal('DEVICE_NOT_FOUND', {
      what: `more than one device that can ${direction} is called "${name}"`,
      mend: `Name one of: ${fit.map(qualified).join(', ')}`,
    });
  }
  const [narrow] = named;
  if (narrow) {
    throw new HostRefusal('DEVICE_REFUSED', {
      what: `"${name}" has ${room(narrow)} channels to ${direction}, the bench file asks for ${channels}`,
      mend: 'Ask for fewer channels or name another device',
    });
  }
  const able = devices.filter((device) => room(device) > 0).map((device) => `"${device.name}"`);
  throw new HostRefusal('DEVICE_NOT_FOUND', {
    what: `no sound device is called "${name}"`,
    mend:
      able.length === 0
        ? `No device that can ${direction} is connected`
        : `Devices that can ${direction}: ${able.join(', ')}`,
  });
}
