import { dirname, resolve } from 'node:path';
import type { BenchSetup } from './bench-setup.js';

/** A program that a bench file names. */
export interface BenchProgram {
  /** Who runs it: `the interface`, `sensor heatsink`. */
  readonly user: string;
  /** As the bench file has it, placeholders and all. */
  readonly argv: readonly string[];
}

/** What of a bench tells its programs. */
export type WithPrograms = Pick<BenchSetup, 'path'> & Partial<Pick<BenchSetup, 'interface' | 'sensors'>>;

/** Every program that a bench file names, in the order in which a reader meets them. */
export function programsOf({ interface: link, sensors: declared = [] }: WithPrograms): BenchProgram[] {
  const own = link?.kind === 'command' ? [{ user: 'the interface', argv: link.argv }] : [];
  const sensors = declared.flatMap(({ name, source }) =>
    source.kind === 'program' ? [{ user: `sensor ${name}`, argv: source.argv }] : [],
  );
  return [...own, ...sensors];
}

/** The folder in which they run; relative paths count from there. */
export const programFolder = ({ path }: WithPrograms): string => dirname(resolve(path));
