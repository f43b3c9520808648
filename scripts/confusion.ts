/**
 * Prints which cause is said for which true cause over a population of invented units, as docs/causes.md holds
 * it: `npm run confusion [seed] [units of each kind]`. Takes a few minutes.
 */
import {
  calibration,
  calibrationTable,
  confusionTable,
  fingerprint,
  sayAll,
  unitByUnit,
} from '../test/measure/cause/confusion.js';

const [seed, count] = [Number(process.argv[2] ?? 11), Number(process.argv[3] ?? 20)];
if (!Number.isInteger(seed) || !Number.isInteger(count) || count < 1) {
  console.error(
    'confusion: give a whole number as seed and how many units of each kind, as in: npm run confusion 11 20',
  );
  process.exit(2);
}

const careful = await sayAll(count, seed);
const careless = await sayAll(count, seed, true);
console.log(
  [
    `Seed ${seed}, ${count} units of each kind, population ${fingerprint()}.`,
    `### With the captures that the method asks for\n\n${confusionTable(careful)}`,
    `### With captures left out, or taken at too low a rate\n\n${confusionTable(careless)}`,
    `### Confidence\n\n${calibrationTable(calibration([...careful, ...careless]))}`,
    `### Unit by unit\n\n${unitByUnit(careful)}`,
  ].join('\n\n'),
);
