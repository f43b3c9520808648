import { numberOf } from '../../record/finding.js';
import { findingsOf } from '../../record/findings-of.js';
import { grouped } from '../bounds/trials.js';
import type { Conclusion } from './conclusion.js';
import { type ConclusionGround, conclude, type Here, settingOf } from './conclusion-ground.js';

/** What a setting shows at levels that were fixed: swept, or held. */
export const levelsTold = (ground: ConclusionGround, at: Here): Conclusion[] => [
  ...levelsKept(ground, at),
  ...levelsHeld(ground, at),
];

/** Of sweeps at one level that with the highest: how far distortion stays, of the worst channel. */
function levelsKept(ground: ConclusionGround, at: Here): Conclusion[] {
  const kept = eachLevelKept(ground, at);
  const power = (one: Conclusion) => (one.code === 'level-kept' ? one.lowest_W : 0);
  return kept.length < 2 ? kept : [kept.reduce((a, b) => (power(b) > power(a) ? b : a))];
}

function eachLevelKept(ground: ConclusionGround, at: Here): Conclusion[] {
  const swept = ground.trials.filter(
    ({ point }) =>
      point.stepKind === 'sweep' &&
      point.load_ohm === at.load_ohm &&
      point.driven.join() === at.driven.join(),
  );
  return grouped(swept, ({ point }) => point.step).flatMap((trials): Conclusion[] => {
    const worst = trials.reduce((a, b) => (b.distortion > a.distortion ? b : a));
    const frequencies = trials.map(({ point }) => point.nominal_Hz);
    const lost = trials.some(({ reading }) => reading.flags.includes('power-not-reached'));
    // A sweep at the very limit tells of the limit, which stands elsewhere.
    if (lost || worst.distortion > TELLING_PERCENT || new Set(frequencies).size < 2) return [];
    return [
      conclude(
        'beside',
        {
          ...{ code: 'level-kept', setting: settingOf(ground, at) },
          lowest_W: Math.min(...trials.map(({ reading }) => reading.power_W)),
          ...{ percent: worst.distortion, at_Hz: worst.point.nominal_Hz, channel: worst.reading.channel },
          over_Hz: [Math.min(...frequencies), Math.max(...frequencies)],
          blind: trials.some(({ reading }) => reading.flags.includes('harmonics-out-of-band')),
        },
        { points: [worst.point.number], steps: [worst.point.step] },
      ),
    ];
  });
}

const TELLING_PERCENT = 0.1;

/** Holds, of the channel that gave least: what was delivered to the end. */
function levelsHeld(ground: ConclusionGround, at: Here): Conclusion[] {
  const powers = findingsOf(ground.record).filter(
    ({ quantity, statistic, terms, setting }) =>
      quantity === 'power' &&
      statistic === 'minimum' &&
      terms.seconds !== undefined &&
      setting.load_ohm === at.load_ohm &&
      setting.driven.join() === at.driven.join(),
  );
  // Of several holds the longest tells: one sentence a setting, the others stand in their tables.
  const longest = Math.max(...powers.map(({ terms }) => terms.seconds!));
  const told = powers.filter(({ terms }) => terms.seconds === longest);
  return [told]
    .filter((own) => own.length > 0)
    .flatMap((own): Conclusion[] => {
      const lowest = own.reduce((a, b) => ((numberOf(b) ?? 0) < (numberOf(a) ?? 0) ? b : a));
      const { step } = lowest.setting;
      const trials = ground.trials.filter(({ point }) => point.step === step);
      const lowest_W = numberOf(lowest);
      if (trials.length === 0 || lowest_W === null) return [];
      const worst = trials.reduce((a, b) => (b.distortion > a.distortion ? b : a));
      return [
        conclude(
          'beside',
          {
            ...{ code: 'held', setting: settingOf(ground, at), lowest_W, percent: worst.distortion },
            ...{ seconds: lowest.terms.seconds!, nominal_Hz: worst.point.nominal_Hz },
          },
          { points: lowest.points, steps: [step] },
        ),
      ];
    });
}
