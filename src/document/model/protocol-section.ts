import type { JudgedRun } from '../../judgement/judged-run.js';
import type { Section } from './block.js';

/** The conditions of the trade rule beside those of the run; nothing where there was no claim to check. */
export function protocolSection({ protocol }: JudgedRun): Section[] {
  if (protocol === null) return [];
  return [
    {
      id: 'protocol',
      title: 'Protocol check',
      blocks: [
        {
          kind: 'table',
          title: protocol.rule,
          columns: [{ name: 'Condition' }, { name: 'State' }, { name: 'Required' }, { name: 'Found' }],
          rows: protocol.conditions.map(({ condition, state, required, found, source }) => [
            condition,
            state,
            source === '' ? required : `${required} (${source})`,
            found,
          ]),
        },
        { kind: 'text', text: protocol.statement },
      ],
    },
  ];
}
