import { dirname, resolve } from 'node:path';
import type { BenchSetup } from './bench-setup.js';

/**
 * That somebody wants the programs of one bench file to run: they named that file in the command they typed, or were shown
 * the programs and said yes. A bench file comes with a download as easily as any file does; to find it lying about is no
 * consent, nor is a variable that a shell brought along. There is no other way to a bench that can be played on.
 */
export class ProgramConsent {
  private constructor(readonly setup: BenchSetup) {}

  /** The bench file stands in the command itself. */
  static byName(setup: BenchSetup): ProgramConsent {
    return new ProgramConsent(setup);
  }

  /**
   * Has somebody asked who sees every program. A bench without programs needs nobody.
   *
   * @param ask shows the programs; gives true for yes, and throws where nobody can be asked
   * @returns null for a no
   */
  static async byAsking(
    setup: BenchSetup,
    ask: (programs: readonly BenchProgram[]) => Promise<boolean>,
  ): Promise<ProgramConsent | null> {
    const programs = programsOf(setup);
    return programs.length === 0 || (await ask(programs)) ? new ProgramConsent(setup) : null;
  }
}

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
