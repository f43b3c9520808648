import { asked_W, clipper, type Device, type DeviceReading, withResidue } from './device.js';

/** Follows the drive up to a power and then holds it, without any distortion. */
export function limiter(limit_W: number, noise_percent = 0.003): Device {
  return {
    name: `limiter at ${limit_W} W`,
    at: (level) => ({ power_W: Math.min(asked_W(level), limit_W), thdn_percent: noise_percent }),
  };
}

/** Distorts between two powers, where its supply changes rails, and clips at 100 W. */
export function railSwitch(from_W: number, to_W: number, hump_percent: number): Device {
  const clips = clipper(100, 0.0004);
  return {
    name: `rail switch from ${from_W} to ${to_W} W`,
    at: (level) => {
      const reading = clips(asked_W(level));
      // A plateau with flanks of a few hundredths of a decibel, as a comparator has.
      const inside = 1 / (1 + (from_W / reading.power_W) ** 200) / (1 + (reading.power_W / to_W) ** 200);
      return withResidue(reading, hump_percent * inside);
    },
  };
}

/** A gap of constant volts at the zero crossings: what is left of it falls with the voltage. Clips at 75 W. */
export function crossover(gap_percent_at_1W: number): Device {
  const clips = clipper(75);
  return {
    name: `crossover ${gap_percent_at_1W} % at 1 W`,
    at: (level) => {
      const reading = clips(asked_W(level));
      const fades = 1 + reading.power_W / 10;
      return withResidue(reading, gap_percent_at_1W / Math.sqrt(reading.power_W) / fades);
    },
  };
}

/** A capacitor at the input: first order, so that a low tone is driven by less. Clips at 100 W. */
export function inputHighPass(corner_Hz: number): Device {
  const clips = clipper(100);
  return {
    name: `input high-pass at ${corner_Hz} Hz`,
    at: (level, frequency_Hz = 1000) => clips(asked_W(level) / (1 + (corner_Hz / frequency_Hz) ** 2)),
  };
}

/** Rails that fall with the current drawn: `unloaded_W` at none, less by `sag` of itself at that power. */
export function unregulatedSupply(unloaded_W: number, sag: number): Device {
  return {
    name: `unregulated supply, ${unloaded_W} W unloaded`,
    at: (level) => {
      // Volts of the rails fall in proportion to the mean current, and so to the volts given: by fixed point.
      let clip_W = unloaded_W;
      let reading: DeviceReading = { power_W: 0, thdn_percent: 0 };
      for (let i = 0; i < 200; i += 1) {
        reading = clipper(clip_W)(asked_W(level));
        clip_W = unloaded_W * (1 - sag * Math.sqrt(reading.power_W / unloaded_W)) ** 2;
      }
      return reading;
    },
  };
}

/** A limited current that also has to charge the capacitor of an output filter: less is left for the load at high frequency. */
export function currentLimitedFilter(limit_W: number, load_ohm: number, capacitor_F: number): Device {
  return {
    name: 'current-limited output filter',
    at: (level, frequency_Hz = 1000) => {
      const times = 1 + (2 * Math.PI * frequency_Hz * capacitor_F * load_ohm) ** 2;
      return clipper(limit_W / times)(asked_W(level));
    },
  };
}

/** What it has been given so far warms it: the gain falls, and beyond a limit the output is gone until it has cooled. */
export class ThermalDevice implements Device {
  readonly name = 'thermal compression with protection';
  private warmth = 0;
  private readonly clips = clipper(100);

  /**
   * @param seconds that each reading takes
   * @param trips_J warmth, in joules kept, at which it protects itself
   */
  constructor(
    private readonly seconds: number,
    private readonly trips_J: number,
    private readonly coolsIn_s = 60,
    private readonly loses_dB_per_J = 2e-4,
  ) {}

  at(level: number): DeviceReading {
    const lost_dB = this.loses_dB_per_J * this.warmth;
    const off = this.warmth > this.trips_J;
    const reading = off ? { power_W: 1e-9, thdn_percent: 100 } : this.clips(asked_W(level - lost_dB));
    const kept = Math.exp(-this.seconds / this.coolsIn_s);
    this.warmth = this.warmth * kept + reading.power_W * this.coolsIn_s * (1 - kept);
    return reading;
  }
}
