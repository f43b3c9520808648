import { dirname, resolve } from 'node:path';
import type { ChannelChain } from '../../calibration/chain.js';
import type { Bench, BenchSetting, SignalSource, SoundBlock } from '../bench.js';
import { BenchBusy, BenchClosed } from '../bench-errors.js';
import type { BenchSetup, CommandInterface } from '../bench-setup.js';
import { columnCount, sortColumns } from '../captured-columns.js';
import { KeepAwake } from '../keep-awake.js';
import { type CommandClock, virtualClock, worldClock } from './command-clock.js';
import { ProgramStream, type StreamedProgram } from './program-stream.js';

/**
 * A bench whose device is a program that streams: blocks of the stimulus on its standard input, blocks of the response on
 * its standard output, one for one. benches/README.md says what such a program must do.
 *
 * For each play the program is started anew, in the folder of the bench file, and ended by the end of its input. The response is
 * taken as it stands, without alignment. While the program says that nothing is energised, time is virtual.
 */
export class StreamBench implements Bench {
  readonly kind = 'command';
  readonly energises: boolean;
  readonly rate_Hz: number;
  readonly channels: number;
  readonly #program: StreamedProgram;
  readonly #chains: readonly ChannelChain[];
  readonly #clock: CommandClock;
  #awake: KeepAwake | null = null;
  #open = false;
  #playing: ProgramStream | null = null;

  constructor(setup: BenchSetup) {
    const { interface: device, channels, rate_Hz, energises, path } = setup;
    if (device.kind !== 'command' || device.block_s === null)
      throw new TypeError(`a bench that streams cannot be made of this ${device.kind} interface`);
    this.#chains = channels;
    this.energises = energises;
    this.rate_Hz = rate_Hz;
    this.channels = channels.length;
    this.#clock = setup.clock === 'world' ? worldClock() : virtualClock();
    const frames = Math.max(1, Math.round(device.block_s * rate_Hz));
    const inputs = columnCount(channels);
    this.#program = {
      argv: filled(device, { rate: rate_Hz, outputs: channels.length, inputs, frames }),
      folder: dirname(resolve(path)),
      where: path,
      rate_Hz,
      frames,
      inputs,
      timeout_s: device.timeout_s,
      hardware: energises,
    };
  }

  async open(): Promise<void> {
    this.#open = true;
    if (this.energises) this.#awake ??= new KeepAwake();
  }

  takeNotes(): readonly string[] {
    return this.#awake?.takeNotes() ?? [];
  }

  /** Cables are moved by hand or by the program: whatever the wiring, it is taken as done. */
  async configure(_setting: BenchSetting): Promise<void> {
    this.#checkFree();
  }

  play(source: SignalSource): AsyncGenerator<SoundBlock, void, void> {
    const own: { stream?: ProgramStream } = {};
    const blocks = this.#blocks(source, own);
    // A generator handles return() only at its next yield; the program must not be waited for until then.
    const end = blocks.return.bind(blocks);
    blocks.return = async (value) => {
      await own.stream?.end();
      return end(value);
    };
    return blocks;
  }

  async idle(seconds: number, signal?: AbortSignal): Promise<void> {
    this.#checkFree();
    await this.#clock.wait(seconds, signal);
  }

  now_s(): number {
    return this.#clock.now_s();
  }

  async close(): Promise<void> {
    const stream = this.#playing;
    this.#open = false;
    this.#playing = null;
    this.#awake?.release();
    this.#awake = null;
    await stream?.end();
  }

  async *#blocks(
    source: SignalSource,
    own: { stream?: ProgramStream },
  ): AsyncGenerator<SoundBlock, void, void> {
    this.#checkFree();
    const stream = new ProgramStream(this.#program, source);
    own.stream = stream;
    this.#playing = stream;
    try {
      for (;;) {
        const { start, channels } = await stream.next();
        this.#clock.played(channels[0]!.length / this.rate_Hz);
        yield { start, ...sortColumns(channels, this.#chains) };
      }
    } finally {
      await stream.end();
      if (this.#playing === stream) this.#playing = null;
    }
  }

  #checkFree(): void {
    if (!this.#open) throw new BenchClosed();
    if (this.#playing !== null) throw new BenchBusy();
  }
}

/** Puts what the program must know in place of its placeholders, wherever in an argument they stand. */
function filled({ argv }: CommandInterface, facts: Readonly<Record<string, number>>): string[] {
  const [program = '', ...args] = argv;
  const fact = (_: string, name: string) => String(facts[name]);
  return [program, ...args.map((arg) => arg.replaceAll(/\{(rate|outputs|inputs|frames)\}/g, fact))];
}
