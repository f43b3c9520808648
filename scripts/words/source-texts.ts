import { SyntaxKind } from 'typescript/unstable/ast';
import { createScanner } from 'typescript/unstable/ast/scanner';
import { lineOf, type Text, VALUE } from './text.js';

/** A piece between quotes, and whether the text goes on behind it with a value. */
interface Piece {
  readonly kind: 'whole' | 'opens' | 'continues' | 'closes' | 'other';
  readonly text: string;
  readonly at: number;
  /** What stands in the source: a sign, a keyword, a name. */
  readonly token: SyntaxKind;
}

const KINDS = new Map<SyntaxKind, Piece['kind']>([
  [SyntaxKind.StringLiteral, 'whole'],
  [SyntaxKind.NoSubstitutionTemplateLiteral, 'whole'],
  [SyntaxKind.TemplateHead, 'opens'],
  [SyntaxKind.TemplateMiddle, 'continues'],
  [SyntaxKind.TemplateTail, 'closes'],
]);

/** After these a slash begins a regular expression; after anything else it divides. */
const BEFORE_EXPRESSION = new Set<SyntaxKind>([
  SyntaxKind.OpenParenToken,
  SyntaxKind.CommaToken,
  SyntaxKind.EqualsToken,
  SyntaxKind.ColonToken,
  SyntaxKind.OpenBracketToken,
  SyntaxKind.ExclamationToken,
  SyntaxKind.AmpersandAmpersandToken,
  SyntaxKind.BarBarToken,
  SyntaxKind.QuestionToken,
  SyntaxKind.QuestionQuestionToken,
  SyntaxKind.OpenBraceToken,
  SyntaxKind.SemicolonToken,
  SyntaxKind.EqualsGreaterThanToken,
  SyntaxKind.ReturnKeyword,
]);

/** Every token of a TypeScript source, with the parts of a template told apart from the braces around its values. */
function* piecesOf(source: string): Generator<Piece> {
  const scanner = createScanner(true);
  scanner.setText(source);
  // One entry for every open brace: whether it was opened by a template.
  const braces: boolean[] = [];
  for (let before: SyntaxKind = SyntaxKind.SemicolonToken; ; ) {
    let token = scanner.scan();
    if (token === SyntaxKind.EndOfFile) return;
    if (token === SyntaxKind.SlashToken && BEFORE_EXPRESSION.has(before)) token = scanner.reScanSlashToken();
    if (token === SyntaxKind.CloseBraceToken && braces.pop()) token = scanner.reScanTemplateToken(false);
    if (token === SyntaxKind.OpenBraceToken) braces.push(false);
    if (token === SyntaxKind.TemplateHead || token === SyntaxKind.TemplateMiddle) braces.push(true);
    before = token;
    const kind = KINDS.get(token) ?? 'other';
    yield { kind, text: kind === 'other' ? '' : scanner.getTokenValue(), at: scanner.getTokenStart(), token };
  }
}

/** A key, command or value of a file, as a message quotes it. */
const KEY = /`[^`]+`|'[a-z_]+'/g;

/** Of two literals that are added to each other, the second. */
const isAdded = (before: readonly SyntaxKind[]): boolean =>
  before[0] === SyntaxKind.PlusToken && before[1] !== undefined && KINDS.has(before[1]);

/** A path that is imported is no text. */
const isPath = ([before]: readonly SyntaxKind[]): boolean =>
  before === SyntaxKind.FromKeyword || before === SyntaxKind.ImportKeyword;

/**
 * The texts of a TypeScript source: string and template literals of more than one word, each whole. Values within a
 * template stand as `VALUE`; literals that are added to each other are one text. Paths of imports are none.
 */
export function sourceTexts(file: string, source: string): Text[] {
  const texts: { text: string; at: number }[] = [];
  const open: { text: string; at: number; before: readonly SyntaxKind[] }[] = [];
  const finish = (text: string, at: number, before: readonly SyntaxKind[]) => {
    const last = texts.at(-1);
    if (last && isAdded(before)) last.text += text;
    else if (!isPath(before)) texts.push({ text, at });
  };
  let before: readonly SyntaxKind[] = [];
  for (const { kind, text, at, token } of piecesOf(source)) {
    if (kind === 'whole') finish(text, at, before);
    if (kind === 'opens') open.push({ text: `${text}${VALUE}`, at, before });
    const current = open.at(-1);
    if (kind === 'continues' && current) current.text += `${text}${VALUE}`;
    if (kind === 'closes' && current) {
      open.pop();
      finish(current.text + text, current.at, current.before);
    }
    before = [token, ...before.slice(0, 1)];
  }
  return texts
    .filter(({ text }) => /\p{L}\S*\s+\S*\p{L}/u.test(text))
    .map(({ text, at }) => ({ file, line: lineOf(source, at), text: text.replace(KEY, VALUE) }));
}
