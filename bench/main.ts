/** `npm run bench`: speed, as ratios against a reference taken in the same run. Never part of the tests. */
import { analysisBench } from './analysis.js';
import { ceilingBench } from './ceilings.js';
import { climbBench } from './climb.js';
import { longRunBench } from './long-run.js';
import { startBench } from './start.js';
import { timeLeftBench } from './time-left.js';
import { twinBench } from './twins.js';

for (const [title, measure] of [
  ['Analysis, against the bare transform', analysisBench],
  ['Twins, seconds of signal per second', twinBench],
  ['Start, against a bare node', startBench],
  ['Ceilings, against a fixed grid', ceilingBench],
  ['Climb on the sound path', climbBench],
  ['Twelve hours of holds and rests', longRunBench],
  ['Time left, from the first tenth on', timeLeftBench],
] as const) {
  console.log(`\n${title}`);
  for (const { name, text } of await measure()) console.log(`  ${name.padEnd(44)} ${text}`);
}
