import { setTimeout as delay } from 'node:timers/promises';
import type { ChannelChain } from '../../calibration/chain.js';
import type { Bench, BenchSetting, SignalSource, SoundBlock } from '../bench.js';
import type { BenchSetup } from '../bench-setup.js';
import { KeepAwake } from '../keep-awake.js';

/**
 * What every bench has whose device is an external program. While that says that nothing is energised, time is virtual; otherwise
 * waiting is real, and the computer is kept from sleeping.
 */
export abstract class ProgramBench implements Bench {
  readonly kind = 'command';
  readonly energises: boolean;
  readonly rate_Hz: number;
  readonly channels: number;
  protected readonly chains: readonly ChannelChain[];
  protected readonly clock: CommandClock;
  #awake: KeepAwake | null = null;

  constructor({ energises, rate_Hz, channels, clock }: BenchSetup) {
    this.energises = energises;
    this.rate_Hz = rate_Hz;
    this.channels = channels.length;
    this.chains = channels;
    this.clock = clock === 'world' ? worldClock() : virtualClock();
  }

  async open(): Promise<void> {
    if (this.energises) this.#awake ??= new KeepAwake();
  }

  takeNotes(): readonly string[] {
    return this.#awake?.takeNotes() ?? [];
  }

  /** Cables are moved by hand or by the program: whatever the wiring, it is taken as done. */
  async configure(_setting: BenchSetting): Promise<void> {
    this.requireFree();
  }

  abstract play(source: SignalSource): AsyncGenerator<SoundBlock, void, void>;

  async idle(seconds: number, signal?: AbortSignal): Promise<void> {
    this.requireFree();
    await this.clock.wait(seconds, signal);
  }

  now_s(): number {
    return this.clock.now_s();
  }

  async close(): Promise<void> {
    this.#awake?.release();
    this.#awake = null;
  }

  /** @throws BenchClosed, BenchBusy */
  protected abstract requireFree(): void;
}

/** Blocks whose end stops the program at once: a generator handles return() only at its next yield, which it may wait for. */
export function stoppedAtOnce(
  blocks: AsyncGenerator<SoundBlock, void, void>,
  stop: () => unknown,
): AsyncGenerator<SoundBlock, void, void> {
  const end = blocks.return.bind(blocks);
  blocks.return = async (value) => {
    await stop();
    return end(value);
  };
  return blocks;
}

/** Puts what the program must know in place of its placeholders, wherever in an argument they stand. */
export function filled(
  [program = '', ...args]: readonly string[],
  values: Readonly<Record<string, string | number>>,
): string[] {
  const value = (placeholder: string, name: string) =>
    Object.hasOwn(values, name) ? String(values[name]) : placeholder;
  return [program, ...args.map((arg) => arg.replaceAll(/\{([a-z]+)\}/g, value))];
}

/** The time of a command bench. */
interface CommandClock {
  now_s(): number;
  /** Counts signal that was played. */
  played(seconds: number): void;
  /** Lets time pass; ends early, without error, when `signal` aborts. */
  wait(seconds: number, signal?: AbortSignal): Promise<void>;
}

/** Time for a program that only computes: it passes as it is counted, so an hour of rest costs nothing. */
function virtualClock(): CommandClock {
  let time_s = 0;
  return {
    now_s: () => time_s,
    played: (seconds) => {
      time_s += seconds;
    },
    wait: async (seconds, signal) => {
      if (!signal?.aborted) time_s += seconds;
    },
  };
}

/** The world's time, for a program that drives hardware: what was played has taken its time already. */
function worldClock(): CommandClock {
  return {
    now_s: () => performance.now() / 1000,
    played: () => {},
    wait: async (seconds, signal) => {
      const until = performance.now() + 1000 * seconds;
      // A timer may fire early by a fraction of a millisecond, and takes no more than 2^31 ms.
      for (let left = 1000 * seconds; left > 0 && !signal?.aborted; left = until - performance.now()) {
        await delay(Math.min(left, 2 ** 31 - 1), undefined, signal ? { signal } : {}).catch(() => {});
      }
    },
  };
}
