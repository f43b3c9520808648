import { csvExport } from '../../document/csv/csv-export.js';
import { resultsCsv } from '../../document/csv/results-csv.js';
import { html, Markup } from '../../document/html/markup.js';
import { READING_AID } from '../../document/html/reading-aid.js';
import { jsonExport } from '../../document/json/show-document.js';
import { OhmestError } from '../../errors/ohmest-error.js';
import type { RunRecord } from '../../record/run-record.js';
import type { Document, LocalRequest, Route } from '../local-route.js';
import { pageFrame } from '../page-frame.js';
import { askedList, askedRun, askedRuns } from './asked.js';
import { BROWSE_STYLE, WAY_STYLE } from './browse-style.js';
import { runsPage } from './runs-page.js';
import type { Shelf } from './shelf.js';

/** The addresses of a shelf: the list, a run's report, runs compared, and what can be taken away as a file. */
export function browseRoutes(shelf: Shelf): Route[] {
  const get = (
    path: string | RegExp,
    handle: (request: LocalRequest) => Document | Promise<Document>,
  ): Route => ({
    method: 'GET',
    path,
    handle: (request) => answered(request, handle),
  });
  return [
    get('/', async ({ base, query }) =>
      framed('Runs', shelf.name, base, await runsPage(shelf, base, askedList(query))),
    ),
    get(/\/run\/([^/]*)/, ({ base, params }) => reportPage(shelf, base, askedRun(params[0]!))),
    get('/compare', ({ base, query }) => comparisonPage(shelf, base, askedRuns(query))),
    get(/\/run\/([^/]*)\/(readings\.csv|results\.csv|run\.json)/, async ({ params }) =>
      file(await shelf.run(askedRun(params[0]!)), params[1] as FileName),
    ),
  ];
}

/** What a handler makes of a request; what it refuses becomes a page that says so. */
async function answered(
  request: LocalRequest,
  handle: (request: LocalRequest) => Document | Promise<Document>,
): Promise<Document> {
  try {
    return await handle(request);
  } catch (error) {
    if (!(error instanceof OhmestError)) throw error;
    const status = error.code === 'RUN_NOT_FOUND' ? 404 : 400;
    return { ...framed('This cannot be shown', '', request.base, complaint(error)), status };
  }
}

const complaint = ({ message }: OhmestError): Markup => html`<p class="outcome" role="alert">${message}</p>`;

/** A page of the shelf: its title, which database it shows, and the content. */
function framed(title: string, shelf: string, base: string, content: Markup): Document {
  return pageFrame({
    title: `${title} – ohmest`,
    over: ['Power amplifier measurements', html`<bdi>${shelf}</bdi>`],
    header: html`<h1><a href="${base}/">${title}</a></h1>`,
    main: content,
    footer:
      'Served by ohmest on this machine only, until the program is ended with Ctrl-C. Nothing is changed by looking.',
    style: BROWSE_STYLE,
  });
}

/** A report has styles of its own, also within its drawings, and one script. */
const page = (body: string): Document => ({
  status: 200,
  type: 'text/html; charset=utf-8',
  body,
  inline: { styles: 'any', scripts: [READING_AID] },
});

/** The report as `ohmest report` writes it, with a way back above it. */
async function reportPage(shelf: Shelf, base: string, run: number): Promise<Document> {
  const { htmlReport } = await import('../../document/html/html-report.js');
  const record = await shelf.run(run);
  const report = htmlReport(record, null, shelf.floorOf(record));
  const files = (['readings.csv', 'results.csv', 'run.json'] as const).map(
    (name) => html`<a href="${base}/run/${run}/${name}" download>${name}</a> `,
  );
  return page(withWay(report, html`<a href="${base}/">All runs</a> ${files}`));
}

async function comparisonPage(shelf: Shelf, base: string, runs: readonly number[]): Promise<Document> {
  const { comparisonReport } = await import('../../document/comparison/comparison-report.js');
  const report = comparisonReport(await Promise.all(runs.map((run) => shelf.run(run))));
  const links = runs.map((run) => html`<a href="${base}/run/${run}">Run ${run}</a>`);
  return page(withWay(report, html`<a href="${base}/">All runs</a> ${links}`));
}

const withWay = (report: string, links: Markup): string =>
  report.replace(
    '<body>',
    () =>
      `<body>${html`<style>${new Markup(WAY_STYLE)}</style><nav class="way" aria-label="Shelf">${links}</nav>`.text}`,
  );

type FileName = 'readings.csv' | 'results.csv' | 'run.json';

function file(record: RunRecord, name: FileName): Document {
  const body = { 'readings.csv': csvExport, 'results.csv': resultsCsv, 'run.json': jsonExport }[name](record);
  return {
    status: 200,
    type: name.endsWith('.csv') ? 'text/csv; charset=utf-8' : 'application/json; charset=utf-8',
    body,
    headers: { 'Content-Disposition': `attachment; filename="run-${record.run}-${name}"` },
  };
}
