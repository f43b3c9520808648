/** What a unit gives at a level: the power at the load and its THD+N. */
export type SearchUnit = (asked_dBW: number) => { readonly power_W: number; readonly thdn_percent: number };

/** THD of a hard clipper near its onset: 0.412026 acos(1/k)^2.5 (asymptote of the closed form), over a noise floor. */
export function clipper(clip_dBW: number, noise_percent = 1e-9): SearchUnit {
  return (asked_dBW) => {
    const k = 10 ** ((asked_dBW - clip_dBW) / 20);
    const thd = k > 1 ? 41.2026 * Math.acos(1 / k) ** 2.5 : 0;
    const noise = noise_percent * 10 ** (-(asked_dBW - clip_dBW) / 20);
    // Output power above onset grows about half as fast as asked.
    const power_dBW = k > 1 ? clip_dBW + (asked_dBW - clip_dBW) * 0.45 : asked_dBW;
    return { power_W: 10 ** (power_dBW / 10), thdn_percent: Math.hypot(thd, noise) };
  };
}

/** Level at which that clipper crosses a threshold, from the same formula turned round. */
export function clipperCrossing_dBW(clip_dBW: number, threshold_percent: number): number {
  return clip_dBW - 20 * Math.log10(Math.cos((threshold_percent / 41.2026) ** 0.4));
}

/** Distortion that grows slowly over many decibels, as in a unit without feedback. */
export function softUnit(one_percent_dBW: number): SearchUnit {
  return (asked_dBW) => ({
    power_W: 10 ** (asked_dBW / 10),
    thdn_percent: 10 ** ((asked_dBW - one_percent_dBW) / 10),
  });
}
