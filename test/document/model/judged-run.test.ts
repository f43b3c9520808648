import { describe, expect, test } from 'vitest';
import { htmlReport } from '../../../src/document/html/html-report.js';
import { showDocument } from '../../../src/document/json/show-document.js';
import { runText } from '../../../src/document/text/run-text.js';
import { judgeRun } from '../../../src/judgement/judged-run.js';
import type { RunRecord } from '../../../src/record/run-record.js';
import { invented } from '../fixture.js';
import { HOSTILE } from '../hostile.js';
import { withoutAid, withoutValues } from '../without-aid.js';

const plain = { width: 80, colour: false };
const claiming = (claim: string | null): RunRecord => ({ ...invented(), claim });
const squeezed = (text: string) => text.replace(/\s+/g, ' ');
/** The invented run gives 87.7 W ± 0.72 W at 0.1 % and 1 kHz on its weaker channel, both driven into 8 ohm. */
const CLAIM = (power: string) => `${power}, 8 ohm, 0.1 % THD+N, 1 kHz, 2 channels`;

describe('judgeRun', () => {
  test.each([
    ['85 W', 'met'],
    ['90 W', 'not met'],
    ['87.5 W', 'inconclusive'],
    ['150 W, 30 s', 'not met'],
    ['80 W, 30 s', 'not tested'],
  ])('%s is %s', (power, expected) => {
    expect(judgeRun(claiming(CLAIM(power))).claims.map(({ verdict }) => verdict.verdict)).toEqual([expected]);
  });

  test('judges each claim of several, and those that a reader brings along first', () => {
    const { claims } = judgeRun(claiming(`${CLAIM('85 W')}\n${CLAIM('90 W')}`), CLAIM('80 W'));
    expect(claims.map(({ verdict, stored }) => [verdict.claim.power_W, verdict.verdict, stored])).toEqual([
      [80, 'met', false],
      [85, 'met', true],
      [90, 'not met', true],
    ]);
  });

  test('goes through the trade rule only for a claim, or for a sequence that states its protocol', () => {
    expect(judgeRun(claiming(null)).protocol).toBeNull();
    expect(judgeRun(claiming(CLAIM('85 W'))).protocol?.conditions.length).toBeGreaterThan(8);
    const run = claiming(null);
    expect(
      judgeRun({ ...run, sequence: { ...run.sequence, text: 'protocol: us-trade-rule' } }).protocol,
    ).not.toBeNull();
  });

  test('says why a kept claim cannot be read, and throws about one that is brought along', () => {
    expect(judgeRun(claiming('very loud'))).toMatchObject({ claims: [], unreadable: expect.any(String) });
    expect(() => judgeRun(claiming(null), 'very loud')).toThrow("unknown word 'very'");
  });
});

describe('verdicts in the text', () => {
  test('come before all figures, with margin, deciding point and what was left open', () => {
    const text = runText(claiming(CLAIM('85 W')), plain);
    expect(squeezed(text)).toContain(
      'Claim of 85 W, 8 ohm, 0.1 % THD+N, 1 kHz, 2 channels driven: met. Measured 87.7 W ± 0.7 W at 1 kHz (channel 2).',
    );
    expect(text.indexOf('met. Measured')).toBeLessThan(text.indexOf('Ratings'));
    expect(text.split('\n\n').at(-1)).toContain('met. Measured');
    // 87.65 W / 85 W: 10 log10 is 0.133 dB.
    expect(squeezed(text)).toContain('Margin +2.65 W (+0.133 dB) to the 85 W required');
    expect(squeezed(text)).toContain('Decided by 87.7 W ± 0.7 W at 0.1 % THD+N, 1 kHz, channel 2, 8 ohm');
    expect(text).toContain('no mains voltage stated');
    expect(squeezed(text)).toContain('Guard band of one expanded uncertainty U (JCGM 106:2012');
    expect(squeezed(text)).toContain('It is not a legal finding');
  });

  test('a figure that decides nothing gives no probability', () => {
    const text = squeezed(runText(claiming(CLAIM('80 W, 30 s')), plain));
    expect(text).toContain('Measured');
    expect(text).not.toContain('probability');
    expect(text).toContain('Not tested Not measured at 1 kHz for 30 s');
  });

  test('what was restated stands with its arithmetic', () => {
    const text = squeezed(runText(claiming('100 W, 6 ohm, 0.1 % THD+N, 1 kHz, 2 channels'), plain));
    expect(text).toContain(
      'Restated Same voltage into 8 ohm: a lower bound; root of 100 W x 6 ohm = 24.49 V',
    );
  });

  test('the ratings stand there without a claim, and say what of the band was not tried', () => {
    const text = runText(claiming(null), plain);
    expect(text).toContain('Maximum power, weakest channel');
    expect(squeezed(text)).toContain('8 ohm, 1 and 2 driven: knee at');
    // Behind the notes, which are no ratings.
    expect(text.indexOf('Rating: the highest')).toBeGreaterThan(text.indexOf('knee at'));
    expect(text).not.toContain('Claim:');
    expect(text).not.toContain('16 CFR');
  });

  test.each([60, 80])('no line is wider than %d columns', (width) => {
    const claim = `${CLAIM('85 W')}, 230 V mains, standard ${'w'.repeat(70)}`;
    const lines = runText(claiming(claim), { width, colour: false }).split('\n');
    expect(Math.max(...lines.map((line) => line.length))).toBeLessThanOrEqual(width);
  });
});

describe('verdicts in the page', () => {
  test('stand in its head, the first sentence giving the rating and what became of the claim', () => {
    const page = htmlReport(claiming(CLAIM('90 W')));
    const verdict = page.indexOf('class="lead">Claim of 90\u00a0W');
    expect(verdict).toBeGreaterThan(page.indexOf('<h1>'));
    expect(verdict).toBeLessThan(page.indexOf('class="figures"'));
    expect(page).toMatch(/class="lead">Claim of 90\u00a0W[^<]*: not met\. Measured /);
    expect(page.indexOf('>Claims and verdicts<')).toBeLessThan(page.indexOf('>THD+N against power<'));
    expect(page).toContain('It is not a legal finding');
    expect(page).not.toMatch(/NaN|Infinity|undefined|\[object/);
  });

  test('on a claim brought along stand beside that on the claim of the run, and no id is used twice', () => {
    const page = htmlReport(claiming(CLAIM('90 W')), CLAIM('70 W'));
    expect(page).toMatch(
      /Claim of 70\u00a0W[^<]*: met\. Measured [\s\S]*Claim of 90\u00a0W[^<]*: not met\. Measured /,
    );
    expect(page).toContain('Claim supplied after the run');
    const ids = [...page.matchAll(/\bid="([^"]*)"/g)].map((found) => found[1]);
    expect(new Set(ids).size).toBe(ids.length);
  });

  test('without a claim there is no protocol check', async () => {
    expect(htmlReport(claiming(null))).not.toContain('Protocol check');
  });
});

test.each(Object.entries(HOSTILE))('a hostile claim (%s) is shown as text', async (_, text) => {
  for (const claim of [text, `${CLAIM('85 W')}, standard ${text.slice(0, 60)}`]) {
    const page = withoutAid(htmlReport(claiming(claim)));
    expect(page.match(/<\/?(script|img|b|i)\b/gi)).toBeNull();
    expect(withoutValues(page)).not.toMatch(/<[^>]*\son\w+=/i);
    const shown = runText(claiming(claim), plain);
    expect(shown).not.toContain('\u001b');
    expect(Math.max(...shown.split('\n').map((line) => [...line].length))).toBeLessThanOrEqual(80);
    expect((showDocument(claiming(claim)) as { claim: string }).claim).toBe(claim);
  }
});

test('the JSON gives verdicts with units in their names, ratings, and the protocol check', () => {
  const document = JSON.parse(JSON.stringify(showDocument(claiming(CLAIM('85 W')))));
  expect(document.verdicts).toHaveLength(1);
  expect(document.verdicts[0]).toMatchObject({
    claim: '85 W, 8 ohm, 0.1 % THD+N, 1 kHz, 2 channels driven',
    verdict: 'met',
    required_W: 85,
    deciding: { channel: 2, driven: [1, 2], load_ohm: 8, limit_percent: 0.1, bound: 'found' },
    claim_terms: { power_W: 85, load_ohm: 8 },
    stored: true,
  });
  const { margin_W, margin_dB, deciding } = document.verdicts[0];
  expect(margin_W).toBeCloseTo(deciding.power_W - 85, 12);
  expect(margin_dB).toBeCloseTo(10 * Math.log10(deciding.power_W / 85), 12);
  expect(
    document.ratings.settings[0].ratings.map((one: { limit_percent: number }) => one.limit_percent),
  ).toEqual([0.1, 1]);
  expect(document.protocol_check.statement).toContain('not a legal finding');
});
