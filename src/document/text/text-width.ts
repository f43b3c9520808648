import { eastAsianWidth } from 'get-east-asian-width';

/**
 * Characters that take one column each and never join with their neighbours: Latin, Greek and Cyrillic letters, and the
 * dashes, arrows, operators, boxes and blocks of our own words. Nearly every text is written in them, and the tables of
 * Unicode that the others need take longer to load than a small command to run.
 */
const PLAIN =
  /^[\x20-\x7e\xa0-\xac\xae-\u02ff\u0370-\u0482\u048a-\u052f\u2010-\u2027\u2030-\u205e\u2190-\u22ff\u2500-\u259f\ufffd]*$/;

/** Columns that a text of one line takes on a terminal. Control characters and terminal escapes are not expected in it. */
export function textWidth(text: string): number {
  if (PLAIN.test(text)) return text.length;
  tables ??= loadTables();
  let columns = 0;
  for (const { segment } of tables.clusters.segment(text)) columns += clusterWidth(segment, tables);
  return columns;
}

interface Tables {
  readonly clusters: Intl.Segmenter;
  /** What takes no column by itself. */
  readonly unseen: RegExp;
  /** A picture by itself, or by the sign that asks for one, or a flag, or a key. */
  readonly picture: RegExp;
  /** What takes columns of its own behind the first character of a cluster. */
  readonly widening: RegExp;
}

let tables: Tables | undefined;

const loadTables = (): Tables => ({
  clusters: new Intl.Segmenter(),
  unseen: /[\p{Default_Ignorable_Code_Point}\p{Cc}\p{Cf}\p{Mn}\p{Me}\p{Cs}]/gu,
  picture:
    /^(?:\p{Emoji_Presentation}|\p{Extended_Pictographic}\p{EMod}?[\ufe0f\u200d]|[\d#*]\ufe0f?\u20e3)/u,
  widening: /[\p{Mc}\uff00-\uffef]/u,
});

/** One character as a reader sees it: its first visible part is as wide as Unicode Annex 11 has it, marks add nothing. */
function clusterWidth(cluster: string, { unseen, picture, widening }: Tables): number {
  const [first, ...rest] = cluster.replace(unseen, '');
  if (first === undefined) return 0;
  if (picture.test(cluster)) return 2;
  const widths = [first, ...rest.filter((one) => widening.test(one))].map((one) =>
    eastAsianWidth(one.codePointAt(0)!),
  );
  return widths.reduce((sum, one) => sum + one, 0);
}
