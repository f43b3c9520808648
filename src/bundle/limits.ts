/*
 * What a bundle may hold at most. Generous for runs that were made on a bench; a file that goes beyond is an accident
 * or an attack, and is refused before it costs memory or disk.
 */

/** Bytes of the manifest, of a text that a person wrote or a point's spectra, and of the run itself, inflated. */
export const MOST_MANIFEST_BYTES = 16 * 2 ** 20;
export const MOST_TEXT_BYTES = 4 * 2 ** 20;
/** 14 000 points of two channels with 19 harmonics each. Reading it needs less than 512 MB of memory, whatever stands in it. */
export const MOST_RUN_BYTES = 64 * 2 ** 20;
/** Bytes of all that is inflated, together: 11 500 such points with their spectra. */
export const MOST_INFLATED_BYTES = 160 * 2 ** 20;
/** Bytes of one capture: 2^22 frames of 16 channels in double precision. Captures are never compressed. */
export const MOST_CAPTURE_BYTES = 513 * 2 ** 20;
/** Inflated bytes for each packed one, beyond the first mebibyte; a run's own figures pack some ten times smaller. */
export const MOST_RATIO = 200;
export const MOST_MEMBERS = 60_000;
/** Lists and objects in one JSON document, and values in them: a few bytes of text can cost hundreds in memory. */
export const MOST_BRACKETS = 1_500_000;
export const MOST_COMMAS = 6_000_000;
/** The same for what is checked in one go, an item of a long list or a document without any: each may be at fault. */
export const MOST_PIECE_COMMAS = 300_000;
/** Characters of one string in JSON. */
export const MOST_STRING = 300_000;
/** Levels of brackets within brackets in JSON; a run has seven. */
export const MOST_NESTING = 32;
