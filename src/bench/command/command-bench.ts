import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { dirname, join, resolve } from 'node:path';
import { encodeWav } from '../../signal/encode-wav.js';
import type { SignalSource, SoundBlock } from '../bench.js';
import { BenchBusy, BenchClosed } from '../bench-errors.js';
import type { BenchSetup, CommandInterface } from '../bench-setup.js';
import { columnCount, sortColumns } from '../captured-columns.js';
import { CommandExchange } from './command-faults.js';
import { filled, ProgramBench, stoppedAtOnce } from './program-bench.js';
import { readResponse } from './read-response.js';
import { requireSuccess, runProgram } from './run-program.js';
import { planTake, renderTake, stimulusFrames, type Take } from './take.js';

const BLOCK_FRAMES = 4096;

/**
 * A bench whose device is an external program: WAV to the program, WAV back.
 *
 * It works take by take. For each stretch of the source (as long as its horizon, 2^12 to 2^21 frames) the
 * program is run anew with `{stimulus}` and `{response}` in its arguments replaced by the paths of two
 * files. The stimulus is 32-bit float with one file channel per bench channel; it begins 0.1 s before
 * the stretch and ends 30 ms after it, faded in and out. The response must have the same rate and at
 * least the same length, the same channels, and behind these one more for every bench channel with a current shunt,
 * in order; any coding will do that `decodeWav` reads. It is cut back to the stretch
 * as it stands, without alignment: a program with a constant delay, such as a filter, gives a tone that
 * runs on in phase from take to take, and it is up to the program to behave alike in each.
 *
 * The source is asked for frames up to the end of the fade, so a change of level made after the blocks of
 * one take have come in takes effect in the next. The program runs in the folder of the bench file.
 */
export class CommandBench extends ProgramBench {
  readonly #device: CommandInterface;
  readonly #path: string;
  /** The private folder of the files exchanged; null while the bench is closed. */
  #folder: string | null = null;
  /** Ends the play that is going on; null while there is none. */
  #stop: AbortController | null = null;
  /** The program that is running, if any. */
  #running: Promise<unknown> = Promise.resolve();

  constructor(setup: BenchSetup) {
    super(setup);
    if (setup.interface.kind !== 'command') {
      throw new TypeError(`a command bench cannot be made of a ${setup.interface.kind} interface`);
    }
    this.#device = setup.interface;
    this.#path = setup.path;
  }

  override async open(): Promise<void> {
    if (this.#folder !== null) return;
    this.#folder = await this.#exchange(() => mkdtemp(resolve(tmpdir(), 'ohmest-')));
    await super.open();
  }

  play(source: SignalSource): AsyncGenerator<SoundBlock, void, void> {
    const stop = new AbortController();
    return stoppedAtOnce(this.#blocks(source, stop), () => stop.abort());
  }

  override async close(): Promise<void> {
    const folder = this.#folder;
    if (folder === null) return;
    this.#folder = null;
    this.#stop?.abort();
    this.#stop = null;
    await super.close();
    await this.#running.catch(() => {});
    await rm(folder, { recursive: true, force: true });
  }

  async *#blocks(source: SignalSource, stop: AbortController): AsyncGenerator<SoundBlock, void, void> {
    const folder = this.requireFree();
    this.#stop = stop;
    try {
      for (let take = planTake(source, 0, this.rate_Hz); ; ) {
        const running = this.#playTake(source, take, folder, stop.signal);
        this.#running = running;
        const columns = await running;
        for (let at = 0; at < take.frames && !stop.signal.aborted; at += BLOCK_FRAMES) {
          const frames = Math.min(BLOCK_FRAMES, take.frames - at);
          this.clock.played(frames / this.rate_Hz);
          yield {
            start: take.start + at,
            ...sortColumns(
              columns.map((samples) => samples.subarray(at, at + frames)),
              this.chains,
            ),
          };
        }
        if (this.#folder !== folder) throw new BenchClosed();
        if (stop.signal.aborted) return;
        take = planTake(source, take.start + take.frames, this.rate_Hz);
      }
    } finally {
      // After a close the bench may have been opened again and be playing something else.
      if (this.#stop === stop) this.#stop = null;
    }
  }

  /** The folder, when the bench is open and does not play. */
  protected requireFree(): string {
    if (this.#folder === null) throw new BenchClosed();
    if (this.#stop !== null) throw new BenchBusy();
    return this.#folder;
  }

  /** Plays one take; gives the response cut to the stretch, or nothing at all when it was stopped. */
  async #playTake(
    source: SignalSource,
    take: Take,
    folder: string,
    signal: AbortSignal,
  ): Promise<readonly Float64Array[]> {
    const stimulus = join(folder, 'stimulus.wav');
    const response = join(folder, 'response.wav');
    const { rate_Hz } = this;
    const samples = renderTake(source, take);
    try {
      const bytes = encodeWav({ rate_Hz, channels: samples, format: 'float32' });
      await this.#exchange(() => writeFile(stimulus, bytes));
      const { argv, timeout_s } = this.#device;
      const where = this.#path;
      const end = await runProgram(filled(argv, { stimulus, response }), {
        folder: dirname(resolve(where)),
        timeout_s,
        signal,
        where,
      });
      if (end.kind === 'stopped') return [];
      requireSuccess(end, { name: argv[0] ?? '', timeout_s, where });
      const frames = stimulusFrames(take);
      const taps = columnCount(this.chains) - this.channels;
      const answer = await readResponse(response, { rate_Hz, channels: this.channels, taps, frames, where });
      return answer.map((channel) => channel.subarray(take.preroll, take.preroll + take.frames));
    } finally {
      await Promise.all([rm(stimulus, { force: true }), rm(response, { recursive: true, force: true })]);
    }
  }

  async #exchange<T>(action: () => Promise<T>): Promise<T> {
    try {
      return await action();
    } catch (error) {
      const cause = error as NodeJS.ErrnoException;
      throw new CommandExchange({
        where: this.#path,
        what: `the files for the program could not be written (${cause.message})`,
        mend: `There must be room in ${tmpdir()}, or set TMPDIR to a folder that has it`,
        cause,
      });
    }
  }
}
