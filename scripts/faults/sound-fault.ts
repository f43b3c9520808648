import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { RunRecord } from '../../src/record/run-record.js';
import { Recorder } from '../../test/audio/recorder.js';
import { type Rig, withRig } from '../../test/audio/rig.js';
import { until } from '../../test/audio/until.js';
import { inFolder } from './harmed-run.js';
import { commonMisses, type Row, type Trial } from './row.js';
import { SoundRun } from './sound-run.js';
import type { Judged } from './truth.js';

/** What a fault of the path of sound can lay hands on. */
export interface SoundStand {
  readonly folder: string;
  readonly rig: Rig;
  readonly run: SoundRun;
  readonly recorder: Recorder;
}

/** Something that goes wrong while a real program plays on a real sound server. */
export interface SoundFault {
  readonly name: string;
  readonly words: string;
  readonly ends: readonly string[];
  readonly bench?: string;
  /** Before the run, in the folder of its database, and at the very end. */
  readonly before?: (folder: string) => void;
  readonly clear?: (folder: string) => void;
  /** True: it is done as soon as the program has started, before anything is heard. */
  readonly early?: boolean;
  /** Does it. The fault counts from the call unless `from_ms` says otherwise. */
  readonly harm: (stand: SoundStand) => void | Promise<void>;
  /** Once the sound is over. */
  readonly after?: (stand: SoundStand) => void | Promise<void>;
  readonly over?: (stand: SoundStand) => void;
  /** When the fault began to matter, by `performance.now`; null: it never did. */
  readonly from_ms?: (stand: SoundStand) => number | null;
  readonly endsIn?: (folder: string) => string;
  /** What is said when it went as it must. */
  readonly tells: RegExp;
}

const LOOP = readFileSync(new URL('../../test/audio/loop.yaml', import.meta.url), 'utf8');
/** The hold of the sequence has begun: the tone stands. */
export const BEGIN_AT_POINT = 4;
/** A sink shows its monitor a block of up to 10 ms before that is due: the recorder's times may be that much early. */
const AHEAD_ms = 10;
/** On a busy machine blocks get lost of themselves, which rightly ends a run, though not by what was done to it. */
export const BY_LOAD = /did not deliver samples in time|samples were lost|got no block in time/;
const TRIES = 3;

export async function soundRow(fault: SoundFault, times: number): Promise<Row> {
  const trials: Trial[] = [];
  for (let n = 0; n < times; n += 1) trials.push(await tried(fault));
  return { name: fault.name, words: fault.words, trials, limit: null };
}

async function tried(fault: SoundFault): Promise<Trial> {
  for (let tries = 1; ; tries += 1)
    try {
      return await withRig({}, (rig) => inFolder((folder) => trialOf(fault, folder, rig)));
    } catch (error) {
      if (tries === TRIES) throw error;
      console.error(`${fault.name}, once more: ${(error as Error).message.split('\n')[0]}`);
    }
}

async function trialOf(fault: SoundFault, folder: string, rig: Rig): Promise<Trial> {
  fault.before?.(folder);
  const recorder = new Recorder(rig);
  const run = new SoundRun(folder, rig.env, LOOP + (fault.bench ?? ''));
  const stand = { folder, rig, run, recorder };
  try {
    if (!fault.early) {
      await run.points(BEGIN_AT_POINT);
      await until('the recorder hears the tone', () => recorder.silence_ms < 30);
    }
    const at_ms = performance.now();
    await fault.harm(stand);
    if (fault.after) {
      await until('the sound is over', () => run.hasEnded || recorder.silence_ms > 500);
      await fault.after(stand);
    }
    const status = await run.ended();
    const from_ms = fault.from_ms ? fault.from_ms(stand) : at_ms;
    const committed = run.committed;
    fault.over?.(stand);
    const record = run.record(fault.endsIn?.(folder) ?? join(folder, 'runs.db'));
    const heard_ms = from_ms === null ? 0 : recorder.lastHeard_ms + AHEAD_ms - from_ms;
    const silence_ms = record.outcome === 'completed' ? null : Math.max(0, heard_ms);
    const text = run.said.replaceAll(/\s+/g, ' ');
    const message = /ohmest: .*/.exec(text)?.[0] ?? record.reason;
    const trial = {
      silence_ms,
      outcome: record.outcome,
      status,
      judged: judgeLoop(record, committed),
      message,
    };
    const told = fault.tells.test(`${record.reason} ${text}`);
    if (!told && BY_LOAD.test(message)) throw new Error(`the machine was too busy: ${message}`);
    const misses: (string | false)[] = [
      ...commonMisses(trial, from_ms !== null),
      !fault.ends.includes(record.outcome) && `it ended as ${record.outcome}: ${message}`,
      !told && `it does not say ${fault.tells.source}, but: ${message}`,
    ];
    return { ...trial, misses: misses.filter((miss) => miss !== false) };
  } finally {
    run.stop();
    recorder.stop();
    fault.clear?.(folder);
  }
}

/** The loop gives back what is played, times 20: closed form. What is read of it is dither of 24 bits. */
const GAIN_dB = 20 * Math.log10(20);
const MOST_GAIN_dB = 1e-3;
const MOST_THDN_percent = 1e-3;

export function judgeLoop(record: RunRecord, committedPoints: number): Judged {
  const { readings, points } = record;
  const channels = 2;
  const flagged = readings.filter(({ flags }) => flags.length > 0);
  const whole = points.filter(
    ({ number }) =>
      number <= committedPoints && readings.filter(({ point }) => point === number).length === channels,
  );
  return {
    committed: channels * committedPoints,
    kept: readings.length,
    lost: channels * (committedPoints - whole.length),
    flagged: flagged.length,
    wrong: readings
      .filter((reading) => !flagged.includes(reading))
      .filter(
        ({ gain_dB, thdn_percent }) =>
          Math.abs(gain_dB - GAIN_dB) > MOST_GAIN_dB || thdn_percent > MOST_THDN_percent,
      )
      .map(({ point, channel, gain_dB, thdn_percent }) => {
        return `point ${point}, channel ${channel}: ${gain_dB.toFixed(4)} dB, ${thdn_percent} %`;
      }),
  };
}
