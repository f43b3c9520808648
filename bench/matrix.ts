import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { readBench } from '../src/bench/bench-file.js';
import { openSimulated } from '../src/bench/simulated/open-simulated.js';
import { runPlan } from '../src/runner/course/run-plan.js';
import { makePlan } from '../src/sequence/make-plan.js';
import { readSequence } from '../src/sequence/sequence-file.js';

interface BenchLine {
  readonly name: string;
  readonly text: string;
  readonly value: number;
}

const MB = 1e6;
const inRepo = (path: string) => fileURLToPath(new URL(`../${path}`, import.meta.url));

/** What playing the whole matrix took. */
export interface MatrixSeen {
  readonly wall_s: number;
  /** Of all threads of this process. */
  readonly cpu_s: number;
  readonly bench_s: number;
  readonly points: number;
  readonly ceilings: number;
  readonly causes: number;
}

/** Plays `sequences/matrix.yaml` on the eight-channel simulated bench, as a run would, without a database. */
export async function playMatrix(): Promise<MatrixSeen> {
  const benchFile = inRepo('benches/installed-eight.yaml');
  const setup = readBench(readFileSync(benchFile, 'utf8'), benchFile);
  const sequence = readSequence(readFileSync(inRepo('sequences/matrix.yaml'), 'utf8'), 'matrix.yaml');
  const bench = openSimulated(setup);
  const count = { point: 0, ceiling: 0, cause: 0 };
  const [begun_ms, before] = [performance.now(), process.cpuUsage()];
  const { outcome, reason } = await runPlan({
    plan: makePlan(sequence, setup),
    bench,
    setup,
    listener: (event) => {
      if (event.kind === 'point') count.point += 1;
      if (event.kind !== 'finding') return;
      if (event.finding.quantity === 'max-power') count.ceiling += 1;
      if (event.finding.quantity === 'cause') count.cause += 1;
    },
    ask: async () => true,
    signal: new AbortController().signal,
  });
  if (outcome !== 'completed') throw new Error(`the matrix ended as ${outcome}: ${reason}`);
  const { user, system } = process.cpuUsage(before);
  return {
    wall_s: (performance.now() - begun_ms) / 1000,
    cpu_s: (user + system) / 1e6,
    bench_s: bench.now_s(),
    points: count.point,
    ceilings: count.ceiling,
    causes: count.cause,
  };
}

/** The matrix of 2 loads, 3 sets of driven channels and 31 frequencies on eight channels: time, looks, memory. */
export async function matrixBench(): Promise<BenchLine[]> {
  const { wall_s, cpu_s, bench_s, points, ceilings, causes } = await playMatrix();
  const { maxRSS } = process.resourceUsage();
  return [
    {
      name: 'the matrix on eight channels',
      text: `${wall_s.toFixed(1)} s of wall time, ${cpu_s.toFixed(1)} s of CPU time, for ${bench_s.toFixed(0)} s on the bench`,
      value: wall_s,
    },
    {
      name: 'looks of the matrix',
      text: `${points} points for ${ceilings} ceilings and ${causes} causes: ${(points / (6 * 31)).toFixed(1)} a frequency`,
      value: points / (6 * 31),
    },
    {
      name: 'memory of the matrix',
      text: `at most ${((maxRSS * 1024) / MB).toFixed(0)} MB resident`,
      value: (maxRSS * 1024) / MB,
    },
  ];
}
