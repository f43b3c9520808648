import type { Cause } from '../../src/measure/cause/question.js';
import { type Finding, numberOf, type Statistic } from '../../src/record/finding.js';
import type { QuantityName } from '../../src/record/quantities.js';
import type { CourseEvent } from '../../src/runner/course/run-request.js';

/** A finding laid flat. */
export interface Found
  extends Omit<Finding, 'value' | 'setting' | 'stimulus' | 'terms'>,
    Omit<Finding['setting'], 'channel'> {
  readonly channel: number;
  readonly value: number | null;
  readonly causes: readonly Cause[];
  readonly frequency_Hz: number;
  readonly nominal_Hz: number | null;
  readonly threshold_percent: number;
  readonly terms: Finding['terms'];
}

/** The findings of a quantity, in the order in which they were told; those of all channels together as channel 0. */
export const foundIn = (
  { events }: { readonly events: readonly CourseEvent[] },
  quantity: QuantityName,
  statistic?: Statistic,
): Found[] =>
  events
    .flatMap((event) => (event.kind === 'finding' ? [event.finding] : []))
    .filter((one) => one.quantity === quantity && (statistic === undefined || one.statistic === statistic))
    .map(({ setting, stimulus, ...finding }) => ({
      ...finding,
      ...setting,
      channel: setting.channel ?? 0,
      value: numberOf(finding),
      causes: quantity === 'cause' ? (finding.value as readonly Cause[]) : [],
      frequency_Hz: stimulus.lines_Hz[0] ?? Number.NaN,
      nominal_Hz: stimulus.nominal_Hz,
      threshold_percent: finding.terms.threshold_percent ?? Number.NaN,
    }));
