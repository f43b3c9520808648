import type { Block, Chart, Column, Section, TableCell, TextLook } from './block.js';

export const section = (id: string, title: string, blocks: readonly Block[]): Section => ({
  id,
  title,
  blocks,
});

/** A paragraph. @param look left out: plain */
export const text = (words: string, look?: TextLook): Block => ({
  kind: 'text',
  text: words,
  ...(look && { look }),
});

/** A list; nothing without an item. */
export const list = (items: readonly string[]): Block[] =>
  items.length === 0 ? [] : [{ kind: 'list', items }];

/** @param columns of words by their names, of figures made by `figures` */
export const table = (
  title: string,
  columns: readonly (string | Column)[],
  rows: readonly (readonly TableCell[])[],
): Block => ({
  kind: 'table',
  title,
  columns: columns.map((column) => (typeof column === 'string' ? { name: column } : column)),
  rows,
});

/** Columns of figures, which stand at the right. */
export const figures = (...names: readonly string[]): Column[] =>
  names.map((name) => ({ name, figures: true }));

/** Names, and what belongs to each. @param heads of the two columns: they are heard, not seen */
export const pairs = (
  title: string,
  rows: readonly (readonly TableCell[])[],
  heads: readonly [string, string] = ['What', 'Value'],
): Block => ({ kind: 'table', look: 'pairs', title, columns: heads.map((name) => ({ name })), rows });

/** @param page_only whether characters would say less than the table beside them */
export const pictures = (charts: readonly Chart[], page_only = false): Block[] =>
  charts.map((chart): Block => ({ kind: 'chart', ...(page_only && { page_only }), ...chart }));

/** Folded away; open on paper. @param screen whether it stays folded there */
export const details = (title: string, blocks: readonly Block[], screen = false): Block => ({
  kind: 'details',
  title,
  blocks,
  ...(screen && { screen }),
});
