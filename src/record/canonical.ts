/** What stands before a value, by its type. */
const TAG = { none: 0, no: 1, yes: 2, number: 3, text: 4, list: 5, object: 6, doubles: 7 } as const;

const FIRST_ROOM = 4096;

/**
 * Plain data as bytes: equal content gives equal bytes, whatever order the keys of an object have and wherever the data comes from.
 * Form 1: a byte for the type, then
 *
 * - a number: 64-bit float, little-endian. NaN counts as none and -0 as 0, since columns of SQLite keep neither;
 * - a text: length in bytes, UTF-8;
 * - a list: length, items; an object: number of fields, each key as a text with its value, by the order of the keys' UTF-16;
 * - a `Float64Array`: length, 64-bit floats, little-endian.
 *
 * Lengths are unsigned 32-bit numbers, little-endian. A field that is undefined is none.
 */
export class Canonical {
  #bytes = new Uint8Array(FIRST_ROOM);
  #view = new DataView(this.#bytes.buffer);
  #length = 0;
  readonly #encoder = new TextEncoder();

  /** The bytes of a value; they stand until the next call. */
  of(value: unknown): Uint8Array {
    this.#length = 0;
    this.#put(value);
    return this.#bytes.subarray(0, this.#length);
  }

  #put(value: unknown): void {
    if (typeof value === 'number') this.#number(value);
    else if (typeof value === 'string') this.#text(value);
    else if (typeof value === 'boolean') this.#tag(value ? TAG.yes : TAG.no);
    else if (typeof value !== 'object' || value === null) this.#tag(TAG.none);
    else if (Array.isArray(value)) this.#list(value);
    else if (value instanceof Float64Array) this.#doubles(value);
    else this.#object(value);
  }

  #number(value: number): void {
    if (Number.isNaN(value)) {
      this.#tag(TAG.none);
      return;
    }
    this.#reserve(9);
    this.#bytes[this.#length] = TAG.number;
    // Adding 0 takes the sign off a zero.
    this.#view.setFloat64(this.#length + 1, value + 0, true);
    this.#length += 9;
  }

  #text(text: string): void {
    // No character of UTF-16 takes more than three bytes.
    this.#reserve(5 + 3 * text.length);
    const { written } = this.#encoder.encodeInto(text, this.#bytes.subarray(this.#length + 5));
    this.#head(TAG.text, written);
    this.#length += written;
  }

  #list(list: readonly unknown[]): void {
    this.#head(TAG.list, list.length);
    for (const item of list) this.#put(item);
  }

  #object(value: object): void {
    const fields = Object.entries(value).filter(([, part]) => part !== undefined);
    fields.sort(([a], [b]) => (a < b ? -1 : 1));
    this.#head(TAG.object, fields.length);
    for (const [key, part] of fields) {
      this.#text(key);
      this.#put(part);
    }
  }

  #doubles(values: Float64Array): void {
    this.#head(TAG.doubles, values.length);
    this.#reserve(8 * values.length);
    for (const value of values) {
      this.#view.setFloat64(this.#length, value, true);
      this.#length += 8;
    }
  }

  #tag(tag: number): void {
    this.#reserve(1);
    this.#bytes[this.#length] = tag;
    this.#length += 1;
  }

  #head(tag: number, length: number): void {
    this.#reserve(5);
    this.#bytes[this.#length] = tag;
    this.#view.setUint32(this.#length + 1, length, true);
    this.#length += 5;
  }

  #reserve(more: number): void {
    const needed = this.#length + more;
    if (needed <= this.#bytes.length) return;
    const larger = new Uint8Array(2 * needed);
    larger.set(this.#bytes);
    this.#bytes = larger;
    this.#view = new DataView(larger.buffer);
  }
}
