/** The value below which a share of all values lies, between neighbours by straight line; 0 for no values. */
export function quantile(values: Float64Array, share: number): number {
  if (values.length === 0) return 0;
  const sifted = values.slice();
  const place = share * (sifted.length - 1);
  const below = Math.floor(place);
  const value = sift(sifted, below);
  if (place === below) return value;
  let next = Number.POSITIVE_INFINITY;
  for (let i = below + 1; i < sifted.length; i++) if (sifted[i]! < next) next = sifted[i]!;
  return value + (place - below) * (next - value);
}

/**
 * Moves values about until the one at `place` is where it would be if all were sorted, with none above it before it and
 * none below it after it; returns it. C. A. R. Hoare, "Algorithm 65: FIND", Communications of the ACM 4 (1961).
 */
function sift(values: Float64Array, place: number): number {
  let first = 0;
  let last = values.length - 1;
  while (first < last) {
    const middle = values[place]!;
    let up = first;
    let down = last;
    while (up <= down) {
      while (values[up]! < middle) up++;
      while (values[down]! > middle) down--;
      if (up > down) break;
      const held = values[up]!;
      values[up++] = values[down]!;
      values[down--] = held;
    }
    if (down < place) first = up;
    if (up > place) last = down;
  }
  return values[place]!;
}

/** Median; 0 for no values. */
export function median(values: Float64Array): number {
  return quantile(values, 0.5);
}

/**
 * Upper quartile of the absolute distances from `centre`: a spread that a few outliers do not move, yet that
 * sees what happens a quarter of the time. 1.15 sigma of Gaussian noise.
 */
export function quartileDistance(values: Float64Array, centre: number): number {
  return quantile(
    values.map((value) => Math.abs(value - centre)),
    0.75,
  );
}
