import { BenchFault } from '../errors/ohmest-error.js';

/** A bench was asked to play, wait or change its setting while it plays. */
export class BenchBusy extends BenchFault {
  readonly code = 'BENCH_BUSY';

  constructor() {
    super({
      what: 'the bench is playing already',
      mend: 'End the running play before starting something else',
    });
  }
}

/** A bench was used before `open` or after `close`. */
export class BenchClosed extends BenchFault {
  readonly code = 'BENCH_CLOSED';

  constructor() {
    super({ what: 'the bench is not open', mend: 'Open it first; a closed bench is opened anew' });
  }
}
