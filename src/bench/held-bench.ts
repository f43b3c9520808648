import type { Bench } from './bench.js';
import type { BenchSetup } from './bench-setup.js';
import { type HardwareHold, holdHardware } from './hardware-lock.js';
import { kindOf, makeBench } from './kinds.js';
import type { ProgramConsent } from './program-consent.js';

/** A bench that may be played on. */
export type BenchInHand = Pick<HeldBench, 'setup' | 'bench' | 'gap'>;

/**
 * A bench that this process alone may play on, and whose programs somebody wants to run. The only way to a `Bench` and to
 * a sensor: what is not held cannot be played on.
 */
export class HeldBench {
  readonly #hold: HardwareHold;

  private constructor(
    readonly setup: BenchSetup,
    /** Not opened yet. */
    readonly bench: Bench,
    hold: HardwareHold,
  ) {
    this.#hold = hold;
  }

  /**
   * @param command what the bench is held for, for whoever is refused meanwhile
   * @param plays false: only sensors are read, and others may play meanwhile
   * @throws BenchInUse
   */
  static async take({ setup }: ProgramConsent, command: string, plays = true): Promise<HeldBench> {
    const hold = await holdHardware(plays ? kindOf(setup.kind).hardware(setup) : [], command);
    try {
      return new HeldBench(setup, await makeBench(setup), hold);
    } catch (error) {
      await hold.release();
      throw error;
    }
  }

  /** Why another run could play on the same hardware; null where it cannot. */
  get gap(): string | null {
    return this.#hold.gap;
  }

  /** Lets others have it. The bench must be closed. */
  async release(): Promise<void> {
    await this.#hold.release();
  }
}
