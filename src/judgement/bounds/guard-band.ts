/** What a measured power says about a least power that was claimed. */
export type PlainClass = 'met' | 'not met' | 'inconclusive';
/** The same, or that the run did not try it. */
export type VerdictClass = PlainClass | 'not tested';

/** The rule by which figures are held against a claim, to be printed with every verdict. */
export const DECISION_RULE =
  'Met if P − U ≥ claim; not met if P + U < claim; otherwise inconclusive. Guard band of one expanded uncertainty U (JCGM 106:2012, 8.3; ILAC-G8:09/2019)';

/** Rounding of a sum or a difference, no more. */
const SLACK = 1 - 1e-12;

/**
 * Holds a power against the least that is claimed, with a guard band of U on either side (JCGM 106:2012, 8.3;
 * ILAC-G8:09/2019): met if P - U >= claim, not met if P + U < claim.
 *
 * @param uncertainty_W expanded; null: nobody stated it, and then nothing can be told
 */
export function classify(power_W: number, uncertainty_W: number | null, claim_W: number): PlainClass {
  if (uncertainty_W === null) return 'inconclusive';
  if (power_W - uncertainty_W >= claim_W * SLACK) return 'met';
  return power_W + uncertainty_W < claim_W * SLACK ? 'not met' : 'inconclusive';
}

/**
 * Probability that the true power reaches the claim, when the measured one is normally distributed about it (JCGM
 * 106:2012, clause 7, number from memory).
 *
 * @param standard_W standard uncertainty, above 0
 */
export function conformance(power_W: number, standard_W: number, claim_W: number): number {
  return normalBelow((power_W - claim_W) / standard_W);
}

/** Normal distribution function, to 1e-12: the error function's series, and its continued fraction beyond. */
function normalBelow(z: number): number {
  const x = Math.abs(z) / Math.SQRT2;
  const beyond = x < 2.5 ? 1 - errorSeries(x) : errorFraction(x);
  return z >= 0 ? 1 - beyond / 2 : beyond / 2;
}

function errorSeries(x: number): number {
  let [term, sum] = [x, x];
  for (let n = 1; n < 200 && Math.abs(term) > 1e-17 * Math.abs(sum); n += 1) {
    term *= (-x * x) / n;
    sum += term / (2 * n + 1);
  }
  return (2 / Math.sqrt(Math.PI)) * sum;
}

/** Complement of the error function by its continued fraction, from its far end. */
function errorFraction(x: number): number {
  let tail = 0;
  for (let n = 80; n >= 1; n -= 1) tail = n / 2 / (x + tail);
  return Math.exp(-x * x) / (Math.sqrt(Math.PI) * (x + tail));
}
