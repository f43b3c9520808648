import picocolors from 'picocolors';
import { oneLine, visibleText } from '../../units/visible-text.js';
import type { Block, Chart, Section, Table, TableCell, TextLook } from '../model/block.js';
import { claimsInText, renderChartText } from './render-chart.js';
import { textTable } from './text-table.js';
import { wrapText } from './wrap-text.js';

export interface TextOptions {
  /** Columns of the terminal. */
  readonly width: number;
  readonly colour: boolean;
  /** Whether what a page folds away is printed as well. */
  readonly details?: boolean;
}

/** Longest text from a run in one line or cell of a terminal. */
const LONGEST = 600;
/** A title is no paragraph. */
const LONGEST_TITLE = 200;
/** Widest column of names in a table of pairs. */
const WIDEST_NAME = 22;

/** Sections for a terminal, a paragraph each and none that is empty. No line end at the end. */
export const renderSections = (sections: readonly Section[], options: TextOptions): string =>
  sections
    .map(({ title, blocks }) => {
      const body = renderBlocks(blocks, options, title);
      return body === '' ? '' : `${headed(title, options)}\n${body}`;
    })
    .filter((text) => text !== '')
    .join('\n\n');

/** Blocks for a terminal: words follow what they belong to, all else stands apart. */
export function renderBlocks(blocks: readonly Block[], options: TextOptions, heading = ''): string {
  return blocks.reduce((text, block) => {
    const own = renderBlock(block, options, heading);
    if (own === '' || text === '') return text + own;
    return text + (APART[block.kind] ? '\n\n' : '\n') + own;
  }, '');
}

const APART: Readonly<Record<Block['kind'], boolean>> = {
  text: false,
  list: false,
  table: true,
  figures: true,
  chart: true,
  verbatim: false,
  details: true,
};

function renderBlock(block: Block, options: TextOptions, heading: string): string {
  const { width } = options;
  switch (block.kind) {
    case 'text':
      return stylesOf(options)[block.look ?? 'plain'](wrapText(fitting(block.text, width), width));
    case 'list':
      return block.items.map((item) => wrapText(`- ${fitting(item, width)}`, width, '  ')).join('\n');
    case 'table':
      return renderTable(block, options, heading);
    case 'figures':
      return block.figures
        .map(({ name, value, below }) =>
          wrapText(oneLine(`${name}: ${value}, ${below}`, LONGEST), width, '  '),
        )
        .join('\n');
    case 'chart':
      return block.page_only ? '' : renderChart(block, options);
    case 'verbatim':
      return visibleText(block.text).trimEnd();
    case 'details':
      return options.details
        ? `${headed(block.title, options)}\n${renderBlocks(block.blocks, options, block.title)}`
        : '';
  }
}

/** A picture in characters under its title; nothing where no point has a place. */
function renderChart(chart: Chart, options: TextOptions): string {
  const rows = renderChartText(chart, options);
  return rows.length === 0
    ? ''
    : [headed(`${chart.title}${claimsInText(chart)}`, options), ...rows].join('\n');
}

function stylesOf({ colour }: TextOptions): Readonly<Record<TextLook, (text: string) => string>> {
  const { bold, yellow } = picocolors.createColors(colour);
  const plain = (text: string) => text;
  return { plain, lead: plain, strong: bold, warning: yellow, small: plain };
}

const headed = (title: string, { width, colour }: TextOptions): string =>
  picocolors.createColors(colour).bold(wrapText(fitting(title, width, LONGEST_TITLE), width));

/** A caption that says what the heading above says is left out. */
function renderTable(table: Table, options: TextOptions, heading: string): string {
  const title = table.title === heading ? [] : [headed(table.title, options)];
  if (table.look === 'pairs')
    return [...title, ...table.rows.map((row) => pairLines(row, table, options))].join('\n');
  const head = table.columns.map(({ name }) => name);
  const figures = table.columns.flatMap(({ figures }, i) => (figures ? [i] : []));
  const rows = table.rows.map((row) => row.map(wordsOf));
  return [...title, textTable(head, rows, figures, options.width)].join('\n');
}

/** A name, and beside it its sentences, each on lines of its own. */
function pairLines(
  [name = '', cell = '']: readonly TableCell[],
  { rows }: Table,
  { width }: TextOptions,
): string {
  const room = Math.min(WIDEST_NAME, Math.max(...rows.map(([first = '']) => wordsOf(first).length)));
  const indent = ' '.repeat(room + 4);
  return wordsOf(cell)
    .split('\n')
    .map((line, i) =>
      wrapText(`  ${(i === 0 ? wordsOf(name) : '').padEnd(room)}  ${fitting(line, width)}`, width, indent),
    )
    .join('\n');
}

const wordsOf = (cell: TableCell): string =>
  (typeof cell === 'string' ? cell : cell.text)
    .split('\n')
    .map((line) => oneLine(line, LONGEST))
    .join('\n');

/** Room that names and indents take. */
const MARGIN = 30;

/** Text as one line in which no word is too long for the terminal. */
const fitting = (text: string, width: number, longest = LONGEST): string =>
  oneLine(text, longest).replace(new RegExp(`\\S{${Math.max(8, width - MARGIN)}}`, 'gu'), '$& ');
