import { decibelsOfPower } from '../../units/decibel.js';
import type { PowerRatio, SettingRating } from './rating.js';

type Follows = (from: SettingRating, to: SettingRating) => boolean;

/** The same load, and every channel of the first driven in the second, with others. */
export const moreDriven: Follows = (from, to) =>
  from.load_ohm === to.load_ohm &&
  to.driven.length > from.driven.length &&
  from.driven.every((channel) => to.driven.includes(channel));

export const lessLoad: Follows = (from, to) =>
  to.load_ohm < from.load_ohm && from.driven.join() === to.driven.join();

export function ratios(settings: readonly SettingRating[], follows: Follows): PowerRatio[] {
  return settings.flatMap((from) =>
    settings
      .filter((to) => follows(from, to))
      .flatMap((to) => from.ratings.flatMap((_, i) => ratiosAt(from, to, i))),
  );
}

/** Only powers that were found can be divided: two bounds make no ratio. */
function ratiosAt(from: SettingRating, to: SettingRating, index: number): PowerRatio[] {
  const [before, after] = [from.ratings[index]!, to.ratings[index]!];
  const pairs = [
    ['band', before.band, after.band],
    ['1 kHz', before.at_1kHz, after.at_1kHz],
  ] as const;
  return pairs.flatMap(([of, a, b]) => {
    if (a?.bound !== 'found' || b?.bound !== 'found') return [];
    const ratio = b.power_W / a.power_W;
    return [
      {
        limit_percent: before.limit_percent,
        of,
        from: { load_ohm: from.load_ohm, driven: from.driven },
        to: { load_ohm: to.load_ohm, driven: to.driven },
        ratio,
        ratio_dB: decibelsOfPower(ratio),
      },
    ];
  });
}
