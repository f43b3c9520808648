/** What a channel did over a stretch of time: frames, and sums over frames. */
export interface Draw {
  frames: number;
  /** Amps from the positive and from the negative rail. */
  positive_A: number;
  negative_A: number;
  /** Output stage. */
  voltage_V: number;
  square_A2: number;
  power_W: number;
}

export function emptyDraw(): Draw {
  return { frames: 0, positive_A: 0, negative_A: 0, voltage_V: 0, square_A2: 0, power_W: 0 };
}

/** Adds what an output stage draws that holds so many volts on so many ohms. */
export function drawStill(draw: Draw, frames: number, volts: number, ohm: number): void {
  draw.frames += frames;
  draw.positive_A += (frames * Math.max(volts, 0)) / ohm;
  draw.negative_A += (frames * Math.max(-volts, 0)) / ohm;
  draw.voltage_V += frames * volts;
  draw.square_A2 += (frames * volts ** 2) / ohm ** 2;
  draw.power_W += (frames * volts ** 2) / ohm;
}

/** Highest and lowest volts that the output stage can give, running straight through a stretch of samples. */
export interface OutputLimits {
  high: number;
  low: number;
  /** Change per sample at the higher rate. */
  highStep: number;
  lowStep: number;
  /** Length of the stretch in samples. */
  samples: number;
}
