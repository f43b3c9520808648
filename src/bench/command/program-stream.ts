import type { ChildProcess } from 'node:child_process';
import { once } from 'node:events';
import { setTimeout as delay } from 'node:timers/promises';
import type { SignalSource } from '../bench.js';
import { BenchClosed, SamplesLost, StoodStill } from '../bench-errors.js';
import { BlockQueue } from '../block-queue.js';
import { PauseWatch, stoodStill } from '../pause-watch.js';
import { signalGroup } from '../start-program.js';
import { BlockReader, packBlock } from './block-format.js';
import { CommandEnded, CommandStalled, ResponseNotFinite, ResponseTooLarge } from './command-faults.js';
import { OutputTail } from './output-tail.js';
import { endGroup, notStarted, type ProgramPlace, startGroup } from './process-group.js';

/** How much may be on its way: what a program can play on when this one has stopped. */
const AHEAD_s = 0.2;
/** A program that ends by itself when its input ends has so long to ramp down. */
const RAMP_MS = 250;
/** Answers that may wait for their consumer. */
const BACKLOG_s = 30;
const LOOK_MS = 25;

/** A program that streams, and how. */
export interface StreamedProgram extends ProgramPlace {
  readonly argv: readonly string[];
  readonly rate_Hz: number;
  /** Frames in a block. */
  readonly frames: number;
  /** Channels of the response. */
  readonly inputs: number;
  /** Longest wait for the first block, which takes in its start. */
  readonly timeout_s: number;
  /** Whether it plays on its own clock rather than as fast as it is asked. */
  readonly hardware: boolean;
}

/**
 * One play through a running program: blocks of the source go to its standard input, as many as may be on their way, and for
 * each of them one comes back from its standard output. A program with hardware is fed by itself; one without only when
 * somebody waits for a block, so that nothing is rendered before its time.
 */
export class ProgramStream {
  readonly #program: StreamedProgram;
  readonly #source: SignalSource;
  readonly #child: ChildProcess;
  readonly #queue: BlockQueue;
  readonly #reader: BlockReader;
  readonly #said = new OutputTail();
  readonly #pauses: PauseWatch;
  readonly #gone: Promise<unknown>;
  readonly #watch: NodeJS.Timeout;
  readonly #mostAhead: number;
  #sent = 0;
  #answered = 0;
  #waited_ms = performance.now();
  #failed = false;
  readonly #killAtExit = () => signalGroup(this.#child, 'SIGKILL');

  /** @throws CommandNotStarted; whatever else goes wrong is thrown by `next` */
  constructor(program: StreamedProgram, source: SignalSource, pauses = new PauseWatch()) {
    this.#pauses = pauses;
    this.#program = program;
    this.#source = source;
    const { rate_Hz, frames, inputs, argv } = program;
    this.#mostAhead = Math.max(1, Math.floor((AHEAD_s * rate_Hz) / frames));
    this.#queue = new BlockQueue(BACKLOG_s * rate_Hz);
    this.#reader = new BlockReader(inputs, frames);
    this.#child = startGroup(argv, program, 'pipe');
    const { stdin, stdout, stderr } = this.#child;
    // Writing to a program that has ended is an error of the pipe; its end tells it better.
    stdin!.on('error', () => {});
    stdout!.on('data', (bytes: Buffer) => this.#take(bytes));
    stderr!.on('data', (bytes: Buffer) => this.#said.push(bytes));
    this.#gone = once(this.#child, 'exit').then(
      () => this.#ended(),
      (error: unknown) => this.#fail(notStarted(error, argv, program.where)),
    );
    process.once('exit', this.#killAtExit);
    this.#watch = setInterval(() => this.#look(), LOOK_MS);
    this.#feed();
  }

  /** The next block of the response. @throws BenchFault, and what the source throws */
  async next() {
    this.#feed(1);
    return this.#queue.next();
  }

  /** Ends its input, at which it ramps down and ends; one that does not in time is ended. */
  async end(): Promise<void> {
    this.#fail(new BenchClosed());
    await Promise.race([this.#gone, delay(RAMP_MS)]);
    await endGroup(this.#child);
    process.removeListener('exit', this.#killAtExit);
    this.#child.stdout!.destroy();
    this.#child.stderr!.destroy();
  }

  /** @param more blocks that somebody waits for */
  #feed(more = 0): void {
    const { frames, hardware } = this.#program;
    const most = hardware ? this.#mostAhead : more;
    try {
      while (!this.#failed && this.#sent - this.#answered < most) {
        if (this.#sent === this.#answered) this.#waited_ms = performance.now();
        this.#child.stdin!.write(packBlock(this.#source.render(this.#sent * frames, frames)));
        this.#sent += 1;
      }
    } catch (error) {
      this.#fail(error);
    }
  }

  #take(bytes: Buffer): void {
    const { frames, where, hardware } = this.#program;
    for (const channels of this.#reader.read(bytes)) {
      if (this.#answered === this.#sent) {
        const what = 'the program answers more blocks than it was sent';
        this.#fail(new ResponseTooLarge({ where, what, mend: ONE_FOR_ONE }));
        return;
      }
      const odd = channels.findIndex((samples) => !samples.every(Number.isFinite));
      if (odd >= 0) {
        const what = `the response holds a sample that is not a finite number in channel ${odd + 1}, block ${this.#answered}`;
        this.#fail(new ResponseNotFinite({ where, what, mend: 'Every sample must be a finite number' }));
        return;
      }
      this.#queue.push({ start: this.#answered * frames, channels });
      this.#answered += 1;
      this.#waited_ms = performance.now();
    }
    if (hardware) this.#look();
    if (hardware) this.#feed();
  }

  /** Looks after the program: is it silent for too long, or was this one? */
  #look(): void {
    const { hardware, where, timeout_s, rate_Hz, frames } = this.#program;
    const pause = this.#pauses.look();
    const blocks_ms = (1000 * this.#mostAhead * frames) / rate_Hz;
    if (hardware && this.#answered > 0 && stoodStill(pause)) {
      this.#fail(new StoodStill('this program', pause.whole_ms));
      return;
    }
    const most_ms = hardware && this.#answered > 0 ? blocks_ms + RAMP_MS : 1000 * timeout_s;
    if (this.#sent === this.#answered || performance.now() - this.#waited_ms < most_ms) return;
    // After a pause of this process blocks may lie in the pipe: let them be read before judging.
    setImmediate(() => {
      if (this.#sent === this.#answered || performance.now() - this.#waited_ms < most_ms) return;
      const what = `the program gave no block for ${Math.round(most_ms)} ms${this.#saying()}`;
      this.#fail(new CommandStalled({ where, what, mend: ONE_FOR_ONE }));
    });
  }

  #ended(): void {
    // What a pause of this program has led to must not be told in its place.
    this.#look();
    const { exitCode, signalCode } = this.#child;
    if (exitCode === 0) {
      const what = `the program got no block in time, so it faded out and ended${this.#saying()}`;
      this.#fail(new SamplesLost({ where: this.#program.where, what, mend: 'Close other programs' }));
      return;
    }
    const how = signalCode ? `was ended by the signal ${signalCode}` : `ended with status ${exitCode}`;
    const what = `the program ${how} while it was to play${this.#saying()}`;
    this.#fail(
      new CommandEnded({ where: this.#program.where, what, mend: 'It must play until its input ends' }),
    );
  }

  #saying(): string {
    const said = this.#said.lastLines();
    return said ? `, saying: ${said}` : '';
  }

  /** Nothing is trusted any more: the end of its input is the fastest order to fall silent that there is. */
  #fail(reason: unknown): void {
    if (this.#failed) return;
    this.#failed = true;
    clearInterval(this.#watch);
    this.#child.stdin!.destroy();
    this.#queue.fail(reason);
  }
}

const ONE_FOR_ONE = 'It must answer each block of its input with one block on its output, at once';
