import { describe, expect, it } from 'vitest';
import { csvExport } from '../../src/document/csv/csv-export.js';
import { htmlReport } from '../../src/document/html/html-report.js';
import { showDocument } from '../../src/document/json/show-document.js';
import { runText } from '../../src/document/text/run-text.js';
import { inventedMatrix } from './matrix-fixture.js';
import { isWellFormed } from './well-formed.js';

const text = (width: number) => runText(inventedMatrix(), { width, colour: false });
const squeezed = (said: string) => said.replace(/\s+/g, ' ');
describe('the summary of a run with ceilings, holds, sums, causes, probes and sessions', () => {
  it.each([80, 100, 120])('keeps to %d columns', (width) => {
    const own = text(width)
      .split('\n')
      .filter((line) => !/\|/.test(line));
    for (const line of own) expect(line.length, line).toBeLessThanOrEqual(width);
  });

  it('gives every frequency with the cause beside it, and the evidence once', () => {
    const said = text(120);
    expect(said).toContain('Maximum power at 0.1 % THD+N: 8 ohm, channels 1 and 2 driven, 230 V mains');
    expect(said).toMatch(
      /20 Hz +60\.0 W ± 0\.5 W +59\.0 W ± 0\.5 W +2: supply sag 0\.87, rail clipping 0\.13/,
    );
    expect(said).toMatch(/20 kHz +162\.0 W ± 1\.3 W +–/);
    expect(squeezed(said).split('<b>stop</b> at 34 V')).toHaveLength(2);
    expect(said).toContain('20 kHz, channel 2: THD+N was never below 0.1 %');
  });

  it('gives the course of holds, the sum, the probes, the permit and where it was resumed', () => {
    const said = text(120);
    // 10 log10(48 / 50) = -0.177 dB.
    expect(said).toMatch(/1 +50\.0 W +48\.0 W +-0\.18 dB +47\.5 W +0\.21 dB/);
    expect(said).toContain(
      'All driven channels together: 178.0 W ± 1.4 W at 0.1 % THD+N, where channel 2 reaches it first.',
    );
    expect(said).toMatch(/heatsink +27 °C +27 °C +33 °C +33 °C +4 +1/);
    expect(said).toContain('unattended under permit P-7, signed by R. Example');
    expect(said).toContain('resumed the run at point 31');
  });
});

describe('the report of such a run', () => {
  it('draws ceilings, holds and probes and has a table of each, well formed and without what it was given as markup', async () => {
    const page = htmlReport(inventedMatrix());
    for (const [svg] of page.matchAll(/<svg[\s\S]*?<\/svg>/g)) expect(isWellFormed(svg)).toBe(true);
    for (const title of [
      'Maximum power against frequency: 0.1\u00a0% THD+N, 8\u00a0Ω',
      'Power against time',
      'THD+N against time',
      'Sensor heatsink',
      'Why power falls short',
      'Levels held over time',
      'All driven channels together',
      'Sensors, sampled beside the signal',
    ])
      expect(page, title).toContain(title);
    expect(page).not.toContain('<b>stop</b>');
    expect(page).toContain('<data value="59">');
    expect(page).toMatch(/Permit<\/th><td>unattended under permit P-7/);
    expect(page).toMatch(/Resumed<\/th><td>session 2/);
  });

  it('numbers the cause of a fall at its point, with the evidence below the chart', () => {
    const page = htmlReport(inventedMatrix());
    const figure = /<figure [^>]*aria-labelledby="[^"]*max-power-1-title">[\s\S]*?<\/figure>/.exec(page)![0];
    const [wide] = figure.match(/<svg [^>]*viewBox="0 0 860 440"[\s\S]*?<\/svg>/)!;
    const number = /<circle cx="([\d.]+)" cy="[\d.]+" r="8.5"[^>]*\/><text[^>]*>1<\/text>/.exec(wide)!;
    const marker =
      /<title>channel 2: 20\sHz[^<]*<\/title><path d="[^"]*" transform="translate\(([\d.]+),/.exec(wide)!;
    expect(number[1]).toBe(marker[1]);
    expect(figure).toMatch(
      /<li>20\u00a0Hz, channel 2: supply sag \(0\.87\), then rail clipping \(0\.13\)\. The tops/,
    );
  });

  it('lays all settings over each other first, and names each by what is its own', () => {
    const page = htmlReport(inventedMatrix());
    const figure = /<figure [^>]*aria-labelledby="[^"]*max-power-all-title">[\s\S]*?<\/figure>/.exec(
      page,
    )![0];
    expect(figure).toContain('all settings, 0.1\u00a0% THD+N, channels 1 and 2 driven');
    for (const load of ['8', '4']) expect(figure).toMatch(new RegExp(`<bdi>${load}\u00a0Ω</bdi></li>`));
    expect(page.indexOf('max-power-all-title')).toBeLessThan(page.indexOf('max-power-1-title'));
  });
});

describe('exports of such a run', () => {
  it('keep every new kind in the JSON document', () => {
    const document = showDocument(inventedMatrix()) as {
      results: { kind: string }[];
      probes: object[];
      sessions: object[];
      permit: object;
    };
    const kinds = new Set(document.results.map(({ kind }) => kind));
    for (const kind of ['ceiling', 'hold', 'sum', 'cause']) expect(kinds).toContain(kind);
    expect(document.probes).toHaveLength(4);
    expect(document.sessions).toHaveLength(1);
    expect(document.permit).toMatchObject({ id: 'P-7' });
  });

  it('say in the CSV which cell and mains voltage a reading belongs to', () => {
    const [head] = csvExport(inventedMatrix()).split('\r\n');
    expect(head!.split(',')).toEqual(expect.arrayContaining(['mains_V', 'cell']));
  });
});
