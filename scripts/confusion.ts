/** Prints which cause is said for which true cause, over a seeded population of invented units: `npm run confusion [seed] [units]`. */
import { causeOf } from '../src/measure/cause/cause-of.js';
import { RECIPES, variantsOf } from '../test/measure/cause/population.js';

const seed = Number(process.argv[2] ?? 1);
const count = Number(process.argv[3] ?? 20);
const only = process.argv[4];
for (const name of Object.keys(RECIPES)) {
  if (only && !name.includes(only)) continue;
  const t0 = performance.now();
  for (const v of variantsOf(name, count, seed)) {
    const q = await v.ask();
    const c = causeOf(q);
    const ok = v.truth.length ? v.truth.includes(c[0]!.cause as never) : c[0]!.cause === 'not-clear';
    const both = v.truth.length > 1 ? v.truth.every((t) => c.slice(0, 2).some((x) => x.cause === t)) : true;
    if (!ok || !both || process.argv[5]) {
      console.log(
        ok ? (both ? '    ' : 'ONE ') : 'BAD ',
        v.name,
        q.failing.frequency_Hz.toFixed(0),
        'D',
        (100 * q.failing.distortion).toFixed(2),
        c.map((x) => `${x.cause} ${x.confidence.toFixed(2)}`).join(', '),
        JSON.stringify(q.failing.shape),
        'rip',
        q.failing.ripple.depth.toExponential(1),
        q.failing.ripple.share.toFixed(2),
      );
      if (!ok) console.log('      ', c[0]!.evidence.join('; '));
    }
  }
  console.log(name, ((performance.now() - t0) / count).toFixed(0), 'ms each');
}
