import { judgeRun } from '../../judgement/judged-run.js';
import type { RunRecord } from '../../record/run-record.js';
import { oneLine } from '../../units/visible-text.js';
import { answerBlocks } from '../model/answer.js';
import type { Ground } from '../model/ground.js';
import { keyFigures } from '../model/key-figures.js';
import { pageSections } from '../model/run-document.js';
import { timeWords } from '../model/wording.js';
import { html } from './markup.js';
import { renderPage } from './page.js';
import { PAGE_STYLE } from './page-style.js';
import { REPORT_POLICY, readingAid } from './reading-aid.js';
import { renderBlocks, renderSections } from './render-blocks.js';

/** Longest label in a heading; the table of conditions has it whole. */
const LONGEST_TITLE = 90;

/**
 * A run as one self-contained HTML page: no network, no script but the one that reads points off charts, readable
 * without it too, on a phone, on a wide screen, on paper and in grey. The same record gives the same text, to the byte.
 *
 * @param claim a claim to judge the run by besides its own; null without
 * @param floorAt what the bench reads of itself where a reading was taken, which a record alone does not tell
 * @throws DocumentError when `claim` is none
 */
export function htmlReport(
  record: RunRecord,
  claim: string | null = null,
  floorAt: Ground['floorAt'] = () => null,
): string {
  const ground = { record, judged: judgeRun(record, claim), floorAt };
  const title = oneLine(record.unit.label, LONGEST_TITLE);
  return renderPage({
    title,
    policy: REPORT_POLICY,
    style: PAGE_STYLE,
    over: ['Power amplifier measurement', `Run ${record.run}, ${timeWords(record.started)}`],
    header: html`<h1><bdi>${title}</bdi></h1>
${renderBlocks([...answerBlocks(ground), ...keyFigures(ground)])}`,
    main: renderSections(pageSections(ground)),
    footer: `Made with ohmest ${record.version} from the record of the run. Powers are continuous and per channel.`,
    script: readingAid,
  });
}
