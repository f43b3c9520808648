import type { JudgedRun } from '../../../judgement/judged-run.js';
import { visibleText } from '../../text/visible-text.js';
import { html, type Markup } from '../markup.js';
import { typeset } from '../typeset.js';
import { table } from './table.js';

/** The conditions of the trade rule beside those of the run; one line where there was no claim to check. */
export function protocolSection({ protocol }: JudgedRun): Markup {
  const head = html`<section aria-labelledby="protocol"><h2 id="protocol">Protocol check</h2>`;
  if (protocol === null)
    return html`${head}
<p>No claim was given, so the conditions of a trade rule were not gone through.</p></section>
`;
  const checked = table(
    protocol.rule,
    [{ name: 'Condition' }, { name: 'State' }, { name: 'Asked for' }, { name: 'Found' }, { name: 'Source' }],
    protocol.conditions.map(({ condition, state, required, found, source }) => [
      condition,
      state,
      typeset(required),
      typeset(visibleText(found)),
      source,
    ]),
  );
  return html`${head}
${checked}<p>${protocol.statement}</p></section>
`;
}
