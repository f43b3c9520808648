import { dirname, resolve } from 'node:path';
import type { SignalSource, SoundBlock } from '../bench.js';
import { BenchBusy, BenchClosed } from '../bench-errors.js';
import type { BenchSetup } from '../bench-setup.js';
import { columnCount, sortColumns } from '../captured-columns.js';
import { filled, ProgramBench, stoppedAtOnce } from './program-bench.js';
import { ProgramStream, type StreamedProgram } from './program-stream.js';

/**
 * A bench whose device is a program that streams: blocks of the stimulus on its standard input, blocks of the response on
 * its standard output, one for one. benches/README.md says what such a program must do.
 *
 * For each play the program is started anew, in the folder of the bench file, and ended by the end of its input. The response is
 * taken as it stands, without alignment.
 */
export class StreamBench extends ProgramBench {
  readonly #program: StreamedProgram;
  #open = false;
  #playing: ProgramStream | null = null;

  constructor(setup: BenchSetup) {
    super(setup);
    const { interface: device, channels, rate_Hz, energises, path } = setup;
    if (device.kind !== 'command' || device.block_s === null)
      throw new TypeError(`a bench that streams cannot be made of this ${device.kind} interface`);
    const frames = Math.max(1, Math.round(device.block_s * rate_Hz));
    const inputs = columnCount(channels);
    this.#program = {
      argv: filled(device.argv, { rate: rate_Hz, outputs: channels.length, inputs, frames }),
      folder: dirname(resolve(path)),
      where: path,
      rate_Hz,
      frames,
      inputs,
      timeout_s: device.timeout_s,
      hardware: energises,
    };
  }

  override async open(): Promise<void> {
    this.#open = true;
    await super.open();
  }

  play(source: SignalSource): AsyncGenerator<SoundBlock, void, void> {
    const own: { stream?: ProgramStream } = {};
    return stoppedAtOnce(this.#blocks(source, own), () => own.stream?.end());
  }

  override async close(): Promise<void> {
    const stream = this.#playing;
    this.#open = false;
    this.#playing = null;
    await super.close();
    await stream?.end();
  }

  async *#blocks(
    source: SignalSource,
    own: { stream?: ProgramStream },
  ): AsyncGenerator<SoundBlock, void, void> {
    this.requireFree();
    const stream = new ProgramStream(this.#program, source);
    own.stream = stream;
    this.#playing = stream;
    try {
      for (;;) {
        const { start, channels } = await stream.next();
        this.clock.played(channels[0]!.length / this.rate_Hz);
        yield { start, ...sortColumns(channels, this.chains) };
      }
    } finally {
      await stream.end();
      if (this.#playing === stream) this.#playing = null;
    }
  }

  protected requireFree(): void {
    if (!this.#open) throw new BenchClosed();
    if (this.#playing !== null) throw new BenchBusy();
  }
}
