/**
 * Prints how many bytes of arrays one point of eight channels leaves behind: looked at whether it has settled, analysed and drawn, as
 * a run does it. Started by `analysis.ts` with room for so much that little is collected on the way.
 */
import { settlingOf } from '../src/measure/settled.js';
import { analyseByPairs } from '../src/runner/capture/analyse-by-pairs.js';
import { coherentTone } from '../src/signal/coherent-tone.js';
import { seededRandom } from '../src/signal/dither.js';

const CHANNELS = 8;
const tone = coherentTone({ nominal_Hz: 1000, rate_Hz: 48_000, minimumFrames: 2 ** 16 });
const random = seededRandom(1);
const records = Array.from({ length: CHANNELS }, (_, i) =>
  Float64Array.from({ length: tone.frames }, (_, n) => {
    const sine = Math.sin((2 * Math.PI * ((n * tone.cycles) % tone.frames)) / tone.frames);
    return 0.5 * Math.max(-1, Math.min(1, (1.01 + 0.01 * i) * sine)) + 1e-5 * (random() - random());
  }),
);

async function point(): Promise<unknown> {
  const half = tone.frames / 2;
  const settlings = records.map((x) => settlingOf(x.subarray(0, half), x.subarray(half), tone));
  return [settlings, await analyseByPairs(records, tone, null)];
}

/** Bytes of sample arrays, spectra and the like made by one point. */
async function arrays_bytes(): Promise<number> {
  globalThis.gc!();
  const before = process.memoryUsage().arrayBuffers;
  await point();
  return process.memoryUsage().arrayBuffers - before;
}

const ROUNDS = 6;
// The first point also makes the tables and the room that stay.
await point();
let most = 0;
// The most, since a round in which something was collected on the way shows too little.
for (let round = 0; round < ROUNDS; round += 1) most = Math.max(most, await arrays_bytes());
console.log(most);
