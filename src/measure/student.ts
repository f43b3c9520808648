/** Level of confidence of every expanded uncertainty: that of two standard deviations of a normal distribution. */
export const CONFIDENCE = 0.954499736;

/** Degrees of freedom beyond which the factor is 2 to six digits, and the distribution function loses its own. */
const PLENTY = 1e7;

/** Degrees of freedom beyond which Student's distribution is all but normal. */
const LARGE = 1e5;

/**
 * Coverage factor for `CONFIDENCE`: 2 for infinite degrees of freedom (null), more for fewer
 * (Student's t; JCGM 100:2008, G.3 and the 95.45 % column of table G.2, numbers from memory). Degrees of freedom
 * below 1 count as 1, and are not cut to a whole number.
 */
export function coverageFactor(freedom: number | null): number {
  if (freedom === null || freedom > PLENTY) return 2;
  const nu = Math.max(1, freedom);
  // The distribution function would lose digits here; of the expansion of t (Abramowitz and Stegun 26.7.5, from memory)
  // the first term is good to 1e-9.
  if (nu > LARGE) return 2 + (2 ** 3 + 2) / (4 * nu);
  // Bisection on the distribution function: quick enough, and it cannot fail.
  let [low, high] = [2, 14];
  for (let i = 0; i < 60; i += 1) {
    const middle = (low + high) / 2;
    if (withinT(middle, nu) < CONFIDENCE) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/** Probability that a t-distributed value lies within +-t: 1 - I(nu/2, 1/2) at nu / (nu + t^2). */
function withinT(t: number, nu: number): number {
  return 1 - regularisedBeta(nu / (nu + t * t), nu / 2, 0.5);
}

/** Regularised incomplete beta function by its continued fraction (Lentz's method). */
function regularisedBeta(x: number, a: number, b: number): number {
  if (x <= 0) return 0;
  if (x >= 1) return 1;
  if (x > (a + 1) / (a + b + 2)) return 1 - regularisedBeta(1 - x, b, a);
  const front = Math.exp(a * Math.log(x) + b * Math.log1p(-x) + logGamma(a + b) - logGamma(a) - logGamma(b));
  const away = (value: number) => (Math.abs(value) < 1e-300 ? 1e-300 : value);
  let c = 1;
  let d = 1 / away(1 - ((a + b) * x) / (a + 1));
  let fraction = d;
  for (let m = 1; m <= 500; m += 1) {
    const even = (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m));
    d = 1 / away(1 + even * d);
    c = away(1 + even / c);
    fraction *= d * c;
    const odd = (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1));
    d = 1 / away(1 + odd * d);
    c = away(1 + odd / c);
    const change = d * c;
    fraction *= change;
    if (Math.abs(change - 1) < 1e-15) break;
  }
  return (front * fraction) / a;
}

/** log Gamma by Stirling's series after shifting the argument above 10. */
function logGamma(x: number): number {
  let shift = 0;
  let z = x;
  for (; z < 10; z += 1) shift -= Math.log(z);
  const r = 1 / (z * z);
  const series = (1 / 12 - r * (1 / 360 - r * (1 / 1260 - r / 1680))) / z;
  return shift + (z - 0.5) * Math.log(z) - z + 0.5 * Math.log(2 * Math.PI) + series;
}
