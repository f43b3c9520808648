import { type ChildProcess, spawn } from 'node:child_process';
import type { Rig } from './rig.js';

/** -100 dB of full scale. */
const AUDIBLE = 1e-5;

/** Listens to the null sink by another way than the bench: parec, 32-bit stereo, first channel. */
export class Recorder {
  readonly #child: ChildProcess;
  readonly #rate_Hz: number;
  #samples: number[] = [];
  #rest = Buffer.alloc(0);
  /** Clock time of sample 0: the earliest that any arrival allows, so that late deliveries do not count. */
  #origin_ms = Number.POSITIVE_INFINITY;

  constructor(rig: Rig, rate_Hz = 48_000) {
    this.#rate_Hz = rate_Hz;
    const format = ['--format=s32le', `--rate=${rate_Hz}`, '--channels=2', '--latency-msec=10'];
    this.#child = spawn('parec', ['--raw', '--device=bench.monitor', ...format], {
      env: { ...process.env, ...rig.env },
      stdio: ['ignore', 'pipe', 'inherit'],
    });
    this.#child.stdout!.on('data', (bytes: Buffer) => this.#take(bytes));
  }

  #take(bytes: Buffer): void {
    const all = Buffer.concat([this.#rest, bytes]);
    const frames = Math.floor(all.length / 8);
    for (let i = 0; i < frames; i += 1) this.#samples.push(all.readInt32LE(8 * i) / 2 ** 31);
    this.#rest = all.subarray(8 * frames);
    const first_ms = performance.now() - (1000 * this.#samples.length) / this.#rate_Hz;
    this.#origin_ms = Math.min(this.#origin_ms, first_ms);
  }

  /** Clock time (of `performance.now`) of the last audible sample so far. */
  get lastHeard_ms(): number {
    return this.#origin_ms + (1000 * this.#lastAudible) / this.#rate_Hz;
  }

  /** Clock time up to which the sink has been recorded. */
  get recorded_ms(): number {
    return this.#origin_ms + (1000 * this.#samples.length) / this.#rate_Hz;
  }

  /** Milliseconds of silence at the end of what has been recorded. */
  get silence_ms(): number {
    return (1000 * (this.#samples.length - 1 - this.#lastAudible)) / this.#rate_Hz;
  }

  /** Peak within the last `ms` before the sound ended: a cut shows the level of the tone, a ramp next to nothing. */
  lastPeak(ms: number): number {
    const end = this.#lastAudible + 1;
    const from = end - Math.round((ms * this.#rate_Hz) / 1000);
    return Math.max(...this.#samples.slice(from, end).map(Math.abs));
  }

  get #lastAudible(): number {
    return this.#samples.findLastIndex((sample) => Math.abs(sample) > AUDIBLE);
  }

  stop(): void {
    this.#child.kill();
  }
}
