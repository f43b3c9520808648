import { findingsOf } from '../../record/findings-of.js';
import { type Evidence, placeOf } from '../bounds/evidence.js';
import { grouped, type Trial } from '../bounds/trials.js';
import { shutDownOf } from './conclude-end.js';
import type { Conclusion, EndedEarly } from './conclusion.js';
import { type ConclusionGround, conclude, type Here, here, settingOf } from './conclusion-ground.js';

const MIDDLE_Hz = 1000;

/**
 * Why climbs and searches found no power at a limit, by the channel that got least far: for the strictest that some channel
 * kept at no level; where there is no figure at all, for the loosest.
 *
 * @param told whether there is a figure
 */
export function unfound(ground: ConclusionGround, at: Here, told: boolean): Conclusion[] {
  const searched = ground.evidence.map((pieces) => leastFar(here(pieces, at)));
  const never = searched.find((piece) => piece !== null && piece.kept_W === null);
  const piece = never ?? (told ? null : searched.at(-1));
  return piece ? [climbEnded(ground, piece)] : [];
}

const SEARCHES: ReadonlySet<Evidence['stepKind']> = new Set(['climb', 'max-power']);

/** Of the best piece of each place that nearest to 1 kHz, of the channel that got least far; null without a search. */
function leastFar(pieces: readonly Evidence[]): Evidence | null {
  const kept = ({ kept_W }: Evidence) => kept_W ?? 0;
  const best = grouped(
    pieces.filter(({ stepKind }) => SEARCHES.has(stepKind)),
    placeOf,
  ).map((own) => own.reduce((a, b) => (kept(b) > kept(a) ? b : a)));
  const off = ({ nominal_Hz }: Evidence) => Math.abs(Math.log(nominal_Hz / MIDDLE_Hz));
  const nearest = Math.min(...best.map(off));
  const near = best.filter((piece) => off(piece) === nearest);
  return near.length === 0 ? null : near.reduce((a, b) => (kept(b) < kept(a) ? b : a));
}

function climbEnded(ground: ConclusionGround, piece: Evidence): Conclusion {
  const { nominal_Hz, channel, limit_percent, step, kept_W } = piece;
  const trials = ground.trials.filter(
    ({ point, reading }) =>
      point.step === step && point.nominal_Hz === nominal_Hz && reading.channel === channel,
  );
  // The reading at the power that is told; without one the highest.
  const below = trials.filter(({ reading }) => kept_W === null || reading.power_W <= kept_W);
  const top = (below.length > 0 ? below : trials).reduce((a, b) =>
    b.reading.power_W > a.reading.power_W ? b : a,
  );
  return conclude(
    'answer',
    {
      ...{ code: 'climb-ended', setting: settingOf(ground, piece), nominal_Hz, channel, limit_percent },
      ...{
        delivered_W: top.reading.power_W,
        percent: top.distortion,
        end: endOf(ground, piece, trials),
      },
    },
    { points: [top.point.number], steps: [step] },
  );
}

/** Interface output this near to full scale is all there is. */
const FULL_SCALE_dB = -0.6;

function endOf(
  { record }: ConclusionGround,
  { step, channel, kept_W }: Evidence,
  trials: readonly Trial[],
): EndedEarly {
  if (kept_W === null) {
    const best = trials.reduce((a, b) => (b.distortion < a.distortion ? b : a));
    return { by: 'never-below', best_percent: best.distortion, best_W: best.reading.power_W };
  }
  const shutDown = shutDownOf(record);
  if (shutDown?.setting.step === step) return { by: 'shut-down' };
  const why = findingsOf(record)
    .filter(({ setting }) => setting.step === step && setting.channel === channel)
    .map((finding) => finding.why)
    .find((reason) => reason?.code === 'not-reached');
  if (why?.code === 'not-reached') return why.end;
  const highest_dB = Math.max(...trials.map(({ point }) => point.level_dB));
  return highest_dB >= FULL_SCALE_dB ? { by: 'interface-full-scale' } : { by: 'unknown' };
}
