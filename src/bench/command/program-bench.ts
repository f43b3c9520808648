import type { ChannelChain } from '../../calibration/chain.js';
import type { Bench, BenchSetting, SignalSource, SoundBlock } from '../bench.js';
import type { BenchSetup } from '../bench-setup.js';
import { KeepAwake } from '../keep-awake.js';
import { type CommandClock, virtualClock, worldClock } from './command-clock.js';

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
