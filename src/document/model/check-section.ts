import type { CheckState } from '../../judgement/check/check.js';
import { CHECKS, checkLimit, checkValue } from '../../judgement/check/check-words.js';
import type { JudgedRun } from '../../judgement/judged-run.js';
import type { CellParts, Section, TableCell } from './block.js';
import { figures, section, table } from './make-blocks.js';
import { capital } from './wording.js';

const STATES: Readonly<Record<CheckState, NonNullable<CellParts['state']>>> = {
  passed: 'good',
  failed: 'bad',
  inconclusive: 'open',
  'not tested': 'open',
};

const TITLE = 'Check, channel by channel';

/** Every limit of a check beside what each channel gave; nothing where the run was no check. */
export function checkSection({ conclusions }: JudgedRun): Section[] {
  const items = conclusions.flatMap((one) => (one.code === 'check' ? one.items : []));
  if (items.length === 0) return [];
  const columns = [...figures('Channel'), 'Check', ...figures('Reading'), 'Limit', 'Result'];
  const rows = items.map((item): TableCell[] => [
    String(item.channel),
    CHECKS[item.check].name,
    { text: checkValue(item), ...(item.value !== null && { exact: item.value }) },
    checkLimit(item),
    { text: capital(item.state), state: STATES[item.state] },
  ]);
  return [section('check', TITLE, [table(TITLE, columns, rows)])];
}
