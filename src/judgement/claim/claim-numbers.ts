import type { TextFault } from './claim-statement.js';

/** Digits with marks inside, and the unit behind them. */
const MARKED = /(?<![\d.,])\d+(?:[.,]\d+)+(?=\s*-?(%|[a-z\u00b5\u03bc\u03a9\u2126]+)?)/giu;

/** Three digits behind a mark are decimals with these: a thousand per cent, or a thousand kilowatts, is claimed by nobody. */
const DECIMAL_WITH = /^(?:%|k.*|percent)$/i;
/** With these `1.000` may be one or a thousand. */
const EITHER_WITH = /^(?:m?W(?:pc|rms|pk|p)?|(?:milli)?watts?|ohms?|\u03a9|\u2126|R|Hz|hertz)$/i;

/** Spaces and apostrophes between thousands, as ISO 80000-1 and some countries write them. */
const SPACED =
  /(?<![\d.,])[1-9]\d{0,2}(?:[ '\u00a0\u2009\u202f\u2019]\d{3})+(?=\s*-?(?:%|[a-z\u00b5\u03bc\u03a9\u2126]))/giu;

const THOUSANDS = /^[1-9]\d{0,2}(?:,\d{3})+(?:\.\d+)?$/;
const THOUSANDS_BY_POINTS = /^[1-9]\d{0,2}(?:\.\d{3})+,\d+$|^[1-9]\d{0,2}(?:\.\d{3}){2,}$/;
const ONE_COMMA = /^\d+,\d+$/;

/**
 * Writes every number of a text with a point as decimal mark and no mark between thousands, padded with spaces so that
 * whatever follows keeps its place.
 *
 * A comma before three digits parts thousands (`1,000 W`), unless the number begins with zero or the unit allows decimals
 * only (`0,100 %`); before one or two digits it is the decimal mark (`0,5 %`). A point before three digits is ambiguous with
 * watts, ohms and hertz. Common practice on both sides of the Atlantic, no source.
 */
export function plainNumbers(text: string): { readonly text: string; readonly faults: TextFault[] } {
  const faults: TextFault[] = [];
  const plain = text.replace(MARKED, (said, unit: string | undefined, at: number) => {
    const read = plainNumber(said, unit ?? '');
    if (typeof read === 'string') return read.padEnd(said.length);
    faults.push({ at, ...read });
    return said.replace(/[.,].*/, '').padEnd(said.length);
  });
  const spaced = plain.replace(SPACED, (said) => said.replace(/\D/g, '').padEnd(said.length));
  return { text: spaced, faults };
}

function plainNumber(said: string, unit: string): string | Omit<TextFault, 'at'> {
  const decimals = DECIMAL_WITH.test(unit);
  if (THOUSANDS.test(said) && !decimals) return said.replaceAll(',', '');
  if (THOUSANDS_BY_POINTS.test(said)) return said.replaceAll('.', '').replace(',', '.');
  if (ONE_COMMA.test(said) && (decimals || /^0,|,\d{1,2}$/.test(said))) return said.replace(',', '.');
  if (/^\d+\.\d+$/.test(said)) {
    if (!/^[1-9]\d{0,2}\.\d{3}$/.test(said) || !EITHER_WITH.test(unit)) return said;
    const [one, thousand] = [`${Number(said)} ${unit}`, `${said.replace('.', '')} ${unit}`];
    return {
      what: `'${said} ${unit}' may mean ${one} or ${thousand}`,
      mend: `write ${thousand}, or ${said}0 ${unit}`,
    };
  }
  return {
    what: `'${said}' is not a number`,
    mend: 'write the decimal mark as a point, and a space behind a comma that separates two terms',
  };
}
