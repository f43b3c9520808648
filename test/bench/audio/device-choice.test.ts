import { describe, expect, it } from 'vitest';
import { chooseDevice, HostRefusal } from '../../../src/bench/audio/device-choice.js';

const device = (id: number, name: string, inputs: number, outputs: number, system = 'ALSA') => ({
  ...{ id, name, system, inputs, outputs },
  defaultRate_Hz: 48_000,
});

const devices = [
  device(0, 'box one', 2, 2),
  device(1, 'box', 8, 0),
  device(2, 'twice', 2, 2),
  device(3, 'twice', 2, 2, 'JACK'),
];

function refusal(name: string, direction: 'play' | 'capture', channels: number): HostRefusal {
  try {
    chooseDevice(devices, name, direction, channels);
  } catch (error) {
    expect(error).toBeInstanceOf(HostRefusal);
    return error as HostRefusal;
  }
  throw new Error('it was not refused');
}

describe('a sound device', () => {
  it('is chosen by its exact name', () => {
    expect(chooseDevice(devices, 'box', 'capture', 8).id).toBe(1);
    expect(chooseDevice(devices, 'box one', 'play', 2).id).toBe(0);
  });

  it('is not chosen by a part of its name or by its number', () => {
    for (const name of ['bo', 'BOX', '0', '']) expect(refusal(name, 'play', 1).code).toBe('DEVICE_NOT_FOUND');
    expect(refusal('bo', 'capture', 1).explanation.mend).toContain('"box one", "box"');
  });

  it('is refused with its number of channels when they are too few', () => {
    expect(refusal('box one', 'play', 3)).toMatchObject({ code: 'DEVICE_REFUSED' });
    expect(refusal('box one', 'play', 3).explanation.what).toContain('has 2 channels to play');
    expect(refusal('box', 'play', 1).code).toBe('DEVICE_REFUSED');
  });

  it('that two driver families list alike needs the family too', () => {
    expect(refusal('twice', 'play', 2).explanation.mend).toBe('Name one of: ALSA/twice, JACK/twice');
    expect(chooseDevice(devices, 'JACK/twice', 'play', 2).id).toBe(3);
  });

  it('is missed plainly on a machine without any', () => {
    expect(() => chooseDevice([], 'box', 'play', 1)).toThrow(HostRefusal);
  });
});
