import { InputError } from '../../errors/ohmest-error.js';

/** Several inputs of one command are at fault; the message says all of it. */
export class SeveralFaults extends InputError {
  readonly code = 'SEVERAL_FAULTS';
  readonly causes: readonly InputError[];

  constructor(causes: readonly InputError[]) {
    super({ what: causes.map(({ message }) => message.replace(/\.$/, '')).join('\n') }, { list: true });
    this.causes = causes;
  }
}

/** Gathers what is wrong with the inputs of a command, so that it can all be said at once. */
export class FaultList {
  readonly #causes: InputError[] = [];

  /** What `read` gives; null when it throws an InputError, which is kept. Other errors pass through. */
  gather<T>(read: () => T): T | null {
    try {
      return read();
    } catch (error) {
      if (!(error instanceof InputError)) throw error;
      this.#causes.push(error);
      return null;
    }
  }

  /** @throws the only InputError gathered, or SeveralFaults */
  throwIfAny(): void {
    const [only, ...more] = this.#causes;
    if (only) throw more.length > 0 ? new SeveralFaults(this.#causes) : only;
  }
}
