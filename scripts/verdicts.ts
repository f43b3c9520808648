/**
 * Holds claims against invented units whose true power is known, and prints how often each verdict was said against the truth.
 *
 *   npm run verdicts            10,000 units, 200 of them through the whole runner; writes docs/verdicts.md
 *   npm run verdicts -- 500     that many, one in fifty through the runner, and writes nothing
 */
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { MARGINS, playedTrial, type Trial, trial } from './verdicts/campaign.js';
import { verdictsPage } from './verdicts/page.js';

const given = process.argv[2];
const count = given === undefined ? 10_000 : Number(given);
const trials: Trial[] = [];
for (let seed = 1; seed <= count; seed += 1) {
  const one = trial(seed);
  if (one) trials.push(one);
}
// 49 has no factor in common with the shapes, nor with the claims that equal the truth.
const EVERY = 49;
const played: Trial[] = [];
for (let i = 1; i <= count / 50; i += 1) {
  const one = await playedTrial(EVERY * i);
  if (one) played.push(one);
}
const page = verdictsPage(trials, count, played);
process.stdout.write(page.text);
if (given === undefined) writeFileSync(join(import.meta.dirname, '..', 'docs', 'verdicts.md'), page.text);
for (const margin of MARGINS)
  for (const wrong of page.wrong.filter((one) => one.margin === margin).slice(0, 5))
    process.stdout.write(
      `wrong: seed ${wrong.seed}, ${wrong.shape}, ${wrong.verdict}, ${wrong.distance.toFixed(2)} U\n`,
    );
process.exitCode = page.holds ? 0 : 1;
