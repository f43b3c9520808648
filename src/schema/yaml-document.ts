import {
  type Document,
  isMap,
  isScalar,
  isSeq,
  LineCounter,
  type Node,
  type Pair,
  parseDocument,
  visit,
  type YAMLMap,
} from 'yaml';
import { quoted } from '../units/parse.js';
import { visibleName, visibleText } from '../units/visible-text.js';
import { DocumentError, type Fault } from './document-error.js';
import { type At, MOST_CHARACTERS, scanText, tooLong } from './scan-text.js';

/** Keys that reach into the machinery of objects when a value is built from them. */
const MACHINERY = new Set(['__proto__', 'constructor', 'prototype']);

/** Joins keys and list positions for a reader: items count from 1. */
export function pathText(path: readonly PropertyKey[]): string {
  return path.reduce<string>(
    (text, part) =>
      typeof part === 'number'
        ? `${text}[${part + 1}]`
        : `${text}${text ? '.' : ''}${visibleName(String(part).slice(0, 64))}`,
    '',
  );
}

/** Bytes that are no UTF-8 become U+FFFD, which the scan refuses with its place. */
function decoded(source: string | Uint8Array, file: string): string {
  if (typeof source === 'string') return source.replace(/^\ufeff/, '');
  if (source.length > 4 * MOST_CHARACTERS) throw new DocumentError(file, [tooLong()]);
  return new TextDecoder('utf-8').decode(source);
}

/** Looked up in a set: the parser's own check compares every key with every other. */
function repeatedKeys(map: YAMLMap, at: At): Fault[] {
  const seen = new Set<unknown>();
  return map.items.flatMap(({ key }) => {
    if (!isScalar(key)) return [];
    if (!seen.has(key.value)) {
      seen.add(key.value);
      return [];
    }
    return [
      at(key.range?.[0] ?? 0, `the key ${quoted(String(key.value))} is given twice`, 'keep one of them'),
    ];
  });
}

function structureFaults(document: Document.Parsed, at: At): Fault[] {
  const faults: Fault[] = [];
  visit(document, {
    Map(_, map) {
      faults.push(...repeatedKeys(map, at));
    },
    Pair(_, pair) {
      const key = pair.key as Node | null;
      const offset = key?.range?.[0] ?? 0;
      if (!isScalar(key) || typeof key.value !== 'string')
        faults.push(
          at(
            offset,
            'this key is not a plain word',
            'keys are words, as listed in the README beside the file',
          ),
        );
      else if (MACHINERY.has(key.value))
        faults.push(at(offset, `the key '${key.value}' is not allowed`, 'leave it out'));
    },
    Scalar(_, node) {
      if (node.format === 'HEX' || node.format === 'OCT')
        faults.push(
          at(node.range?.[0] ?? 0, `'${node.source}' is not a decimal number`, 'write it in decimal'),
        );
    },
  });
  return faults;
}

/** YAML text taken apart, with the place of every part. */
export class YamlDocument {
  readonly file: string;
  /** Plain data: maps, lists, texts, numbers (the infinite and NaN, too), true, false, null. */
  readonly data: unknown;
  readonly #document: Document.Parsed;
  readonly #lines: LineCounter;
  /** Of maps that were looked into, the pair under each key. */
  readonly #pairs = new WeakMap<YAMLMap, ReadonlyMap<unknown, Pair>>();

  /** The text as it was read, without a byte order mark. */
  readonly text: string;

  /** @throws DocumentError when the text is not plain, safe YAML. */
  constructor(source: string | Uint8Array, file: string) {
    const lines = new LineCounter();
    const text = decoded(source, file);
    const unsafe = scanText(text, lines);
    if (unsafe.length > 0) throw new DocumentError(file, unsafe);
    const document = parseDocument(text, {
      prettyErrors: false,
      stringKeys: false,
      uniqueKeys: false,
      version: '1.2',
      schema: 'core',
    });
    this.file = file;
    this.text = text;
    this.#document = document;
    this.#lines = lines;
    const at = (offset: number, what: string, mend: string) => this.#fault(offset, '', what, mend);
    const faults = [
      ...[...document.errors, ...document.warnings].map((error) =>
        at(error.pos[0], visibleText(error.message), ''),
      ),
      ...structureFaults(document, at),
    ];
    if (faults.length > 0) throw new DocumentError(file, faults);
    if (document.contents === null) throw new DocumentError(file, [at(0, 'the file is empty', '')]);
    this.data = document.toJS();
  }

  /**
   * A fault at the value under `path`, or at its key when `atKey`, or at the nearest part above that exists.
   * @param path keys, and list positions from 0.
   */
  fault(path: readonly PropertyKey[], what: string, mend = '', atKey = false): Fault {
    return this.#fault(this.#offset(path, atKey), pathText(path), what, mend);
  }

  #fault(offset: number, path: string, what: string, mend: string): Fault {
    const { line, col } = this.#lines.linePos(offset);
    return { line: Math.max(1, line), column: Math.max(1, col), path, what, mend };
  }

  #offset(path: readonly PropertyKey[], atKey: boolean): number {
    let node: unknown = this.#document.contents;
    let offset = this.#document.contents?.range?.[0] ?? 0;
    for (const [depth, part] of path.entries()) {
      let key: unknown = null;
      if (isMap(node)) {
        const pair = this.#pairOf(node, part);
        key = pair?.key;
        node = pair?.value;
      } else if (isSeq(node)) node = node.items[Number(part)];
      else node = undefined;
      const place = (key && (!node || (atKey && depth === path.length - 1)) ? key : node) as Node | undefined;
      if (!place?.range) return offset;
      offset = place.range[0];
    }
    return offset;
  }

  /** A file of nothing but faults asks for thousands of keys of one map. */
  #pairOf(map: YAMLMap, key: PropertyKey): Pair | undefined {
    const known =
      this.#pairs.get(map) ?? new Map(map.items.map((pair) => [isScalar(pair.key) && pair.key.value, pair]));
    this.#pairs.set(map, known);
    return known.get(key);
  }
}
