import { InputError } from '../errors/ohmest-error.js';

/** The caller asked for an analysis that no record could answer: a band or frequency outside what the rate allows. */
export class ImpossibleRequest extends InputError {
  readonly code = 'IMPOSSIBLE_ANALYSIS';
}

/** A record holds something that is no number, so no figure taken from it could be trusted. */
export class NonFiniteSamples extends InputError {
  readonly code = 'NON_FINITE_SAMPLES';
  readonly channel: number;
  /** Frame of the first such sample, counted from 0. */
  readonly frame: number;

  constructor(samples: Float64Array, channel: number) {
    const frame = samples.findIndex((x) => !Number.isFinite(x));
    super({
      what: `the sample is ${samples[frame]}`,
      where: `channel ${channel}, frame ${frame}`,
      mend: 'Every sample must be a finite number',
    });
    this.channel = channel;
    this.frame = frame;
  }
}
