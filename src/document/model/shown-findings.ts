import type { Finding } from '../../record/finding.js';
import { findingsOf } from '../../record/findings-of.js';
import type { RunRecord } from '../../record/run-record.js';

/** The findings of a run as documents say them: every frequency by its nominal value. Exports keep the ones played. */
export function shownFindings(record: RunRecord): Finding[] {
  const keyOf = (step: string, frequency_Hz: number) => `${frequency_Hz} ${step}`;
  const nominals = new Map(
    record.points.map(({ step, frequency_Hz, nominal_Hz }) => [keyOf(step, frequency_Hz), nominal_Hz]),
  );
  return findingsOf(record).map((finding) => {
    const { setting, stimulus, terms } = finding;
    const nominal = (played_Hz: number) => nominals.get(keyOf(setting.step, played_Hz));
    const [first] = stimulus.lines_Hz;
    const nominal_Hz = stimulus.nominal_Hz ?? (first === undefined ? null : (nominal(first) ?? null));
    const over_Hz =
      terms.over_Hz && ([0, 1] as const).map((i) => nominal(terms.over_Hz![i]) ?? terms.over_Hz![i]);
    return {
      ...finding,
      stimulus: { ...stimulus, nominal_Hz },
      terms: over_Hz ? { ...terms, over_Hz: [over_Hz[0]!, over_Hz[1]!] } : terms,
    };
  });
}
