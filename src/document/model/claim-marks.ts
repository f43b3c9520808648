import type { Claim } from '../../judgement/claim/claim.js';
import type { JudgedRun } from '../../judgement/judged-run.js';
import type { RunRecord } from '../../record/run-record.js';
import { formatQuantity } from '../../units/format.js';

/** A power that somebody published for the setting of a chart. */
export interface ClaimMark {
  readonly power_W: number;
  /** `claim 100 W`. */
  readonly words: string;
}

/** The setting that a chart shows. */
export interface ChartSetting {
  readonly load_ohm: number;
  readonly driven: readonly number[];
  /** What was held or marked; null where the chart shows all of them. */
  readonly limit_percent: number | null;
  /** The one frequency of the chart; null where it shows the band. */
  readonly frequency_Hz: number | null;
}

/** Test frequencies lie this near to the nominal ones that claims are made of. */
const NEAR = 0.02;

/** The claimed watts per channel that belong into a chart: those claimed for its load, its channels and its frequency. */
export function claimMarks(
  record: RunRecord,
  { claims }: Pick<JudgedRun, 'claims'>,
  setting: ChartSetting,
): ClaimMark[] {
  const fitting = claims.map(({ verdict }) => verdict.claim).filter((claim) => fits(claim, record, setting));
  return [...new Set(fitting.map(({ power_W }) => power_W))].map((power_W) => ({
    power_W,
    words: `claim ${formatQuantity(power_W, 'W', { figures: 6, trim: true })}`,
  }));
}

function fits(claim: Claim, { points }: RunRecord, setting: ChartSetting): boolean {
  const { load_ohm, driven, per, kind, bridged, distortion_percent, frequency_Hz } = claim;
  const most = Math.max(...points.map((point) => point.driven.length));
  const asked = driven === 'all' ? most : driven;
  const { limit_percent } = setting;
  return (
    per !== 'total' &&
    bridged === null &&
    (kind === null || kind === 'continuous') &&
    (load_ohm === null || load_ohm === setting.load_ohm) &&
    (asked === null || asked === setting.driven.length) &&
    (limit_percent === null || distortion_percent === null || distortion_percent === limit_percent) &&
    (setting.frequency_Hz === null || frequency_Hz === null || isWithin(setting.frequency_Hz, frequency_Hz))
  );
}

const isWithin = (hz: number, [low, high]: readonly [number, number]): boolean =>
  hz >= low * (1 - NEAR) && hz <= high * (1 + NEAR);
