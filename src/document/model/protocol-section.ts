import type { JudgedRun } from '../../judgement/judged-run.js';
import type { Section } from './block.js';
import { section, table, text } from './make-blocks.js';

/** The conditions of the trade rule beside those of the run; nothing where there was no claim to check. */
export function protocolSection({ protocol }: JudgedRun): Section[] {
  if (protocol === null) return [];
  const rows = protocol.conditions.map(({ condition, state, required, found, source }) => [
    condition,
    state,
    source === '' ? required : `${required} (${source})`,
    found,
  ]);
  return [
    section('protocol', 'Protocol check', [
      table(protocol.rule, ['Condition', 'State', 'Required', 'Found'], rows),
      text(protocol.statement),
    ]),
  ];
}
