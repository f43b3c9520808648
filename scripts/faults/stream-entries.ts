import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { setTimeout as delay } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';
import { until } from '../../test/audio/until.js';
import type { Entry } from './campaign.js';
import { inFolder } from './harmed-run.js';
import { commonMisses, type Row, type Trial } from './row.js';
import { BEGIN_AT_POINT, judgeLoop } from './sound-fault.js';
import { SoundRun } from './sound-run.js';

const here = (path: string) => fileURLToPath(new URL(path, import.meta.url));
const DEVICE = here('harmed-device.mjs');
const EXAMPLE = here('../../test/bench/command/fixtures/streams-in-real-time.mjs');
const LOOP = readFileSync(new URL('../../test/audio/loop.yaml', import.meta.url), 'utf8');
/** A shorter standstill could be that of a busy computer, after which the level is played again. */
const NOT_BUSY_ms = 2500;
const BLOCK_ms = 10;
const FADE_ms = 10;

/** The loop of the sound server with a program in its place that streams, which plays in real time and logs what it plays. */
function benchIn(folder: string): string {
  const argv = ['node', DEVICE, join(folder, 'dc'), 'node', EXAMPLE];
  const places = ['{outputs}', '{inputs}', '{frames}', '{rate}', join(folder, 'played')];
  const device = `interface: {kind: command, rate: 48 kHz, blocks: ${BLOCK_ms} ms, hardware: practice, argv: ${JSON.stringify([...argv, ...places])}}`;
  return LOOP.replace(/interface:\n( .*\n)+/, `${device}\n`);
}

/** Something that goes wrong while a program streams. */
interface StreamFault {
  readonly name: string;
  readonly words: string;
  readonly outcome: string;
  harm(folder: string, run: SoundRun): void;
  after?(run: SoundRun): Promise<void>;
  /** What is said when it went as it must. */
  readonly tells: RegExp;
}

const STREAM_FAULTS: readonly StreamFault[] = [
  {
    name: 'stream-dc',
    words: 'a program streams, and 20 V of DC stand at a load',
    outcome: 'tripped',
    harm: (folder) => writeFileSync(join(folder, 'dc'), ''),
    tells: /V of DC at the load/,
  },
  {
    name: 'stream-parent-killed',
    words: 'a program streams, and ohmest is killed',
    outcome: 'interrupted',
    harm: (_, run) => void run.child.kill('SIGKILL'),
    tells: /ended without closing the run/,
  },
  {
    name: 'stream-parent-stopped',
    words: 'a program streams, and ohmest is stopped, and continues three seconds later',
    outcome: 'fault',
    harm: (_, run) => void run.child.kill('SIGSTOP'),
    after: async (run) => {
      await delay(NOT_BUSY_ms);
      run.child.kill('SIGCONT');
    },
    tells: /this program stood still|got no block in time/,
  },
];

/** When the last sound of the log ended, by `Date.now`: its last block that is not silence, and the fade behind it. */
function lastPlayed_ms(folder: string): number {
  const lines = readFileSync(join(folder, 'played'), 'utf8').trim().split('\n');
  const last = lines.findLast((line) => !line.endsWith(' 0'))!;
  return Number(last.split(' ')[0]) + BLOCK_ms + FADE_ms;
}

async function trialOf(fault: StreamFault, folder: string): Promise<Trial> {
  const run = new SoundRun(folder, {}, benchIn(folder));
  try {
    await run.points(BEGIN_AT_POINT);
    const from_ms = Date.now();
    fault.harm(folder, run);
    if (fault.after) {
      await until('the sound is over', () => run.hasEnded || Date.now() - lastPlayed_ms(folder) > 500);
      await fault.after(run);
    }
    const status = await run.ended();
    await until('the device is silent', () => Date.now() - lastPlayed_ms(folder) > 500);
    const record = run.record();
    const text = run.said.replaceAll(/\s+/g, ' ');
    const message = /ohmest: .*/.exec(text)?.[0] ?? record.reason;
    const silence_ms = Math.max(0, lastPlayed_ms(folder) - from_ms);
    const judged = judgeLoop(record, run.committed);
    const trial = { silence_ms, outcome: record.outcome, status, judged, message };
    const misses: (string | false)[] = [
      ...commonMisses(trial, existsSync(join(folder, 'played'))),
      record.outcome !== fault.outcome && `it ended as ${record.outcome}: ${message}`,
      !fault.tells.test(`${record.reason} ${text}`) &&
        `it does not say ${fault.tells.source}, but: ${message}`,
    ];
    return { ...trial, misses: misses.filter((miss) => miss !== false) };
  } finally {
    run.stop();
  }
}

async function streamRow(fault: StreamFault, times: number): Promise<Row> {
  const trials: Trial[] = [];
  for (let n = 0; n < times; n += 1) trials.push(await inFolder((folder) => trialOf(fault, folder)));
  return { name: fault.name, words: fault.words, trials, limit: null };
}

const TIMES = 2;

/** Every fault of a program that streams. They need a build. */
export const STREAM_ENTRIES: readonly Entry[] = STREAM_FAULTS.map((fault) => ({
  name: fault.name,
  where: 'stream',
  times: TIMES,
  timesInShort: 1,
  inject: (times) => streamRow(fault, times),
}));
