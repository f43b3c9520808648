import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readdirSync, realpathSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { hostname } from 'node:os';
import { basename, join } from 'node:path';
import { z } from 'zod';
import { canonicalJson } from '../../bundle/canonical-json.js';
import { inputError } from '../../errors/error-table.js';
import { isAlive } from '../../files/is-alive.js';
import { readRegular } from '../../files/open-regular.js';
import type { Permit } from '../../record/run-record.js';

/** What belongs to a permit beside the database cannot be kept. */
export const PermitNotKept = inputError('PERMIT_NOT_KEPT', (path: string, cause: unknown) => ({
  what: `a permit needs a file of its own, and this one cannot be written (${(cause as NodeJS.ErrnoException).code ?? (cause as Error).message})`,
  where: path,
  mend: 'Nothing was played. Make the folder writable, or set XDG_STATE_HOME to one that is',
  cause,
}));

/** A slip has half a kilobyte, and a long path. */
const MOST_BYTES = 2 ** 16;

const slipSchema = z.strictObject({
  format: z.literal(1),
  id: z.string(),
  permit_sha256: z.string(),
  database: z.string(),
  machine: z.string(),
});

const trySchema = z.object({ pid: z.number().int().positive() });

/** A permit that no other run can take. */
export interface TakenPermit {
  /** The run has begun: nobody can use the permit any more. @throws PermitNotKept */
  spend(): void;
  /** Nothing was begun. */
  giveBack(): void;
}

/**
 * Beside its database each permit has a slip in the state folder of whoever signed it: which permit, for which database, on which
 * machine. A copy of the database has no slip, and a slip is spent once, by a file that only one process can make. Whoever can
 * write that folder, or copies it together with the database to the same machine and path, can still undo both.
 */
export class PermitSlips {
  readonly #folder: string;

  /** @param folder the state folder */
  constructor(folder: string) {
    this.#folder = join(folder, 'permits');
  }

  /** @param database path of the database that keeps the permit. @throws PermitNotKept */
  sign(permit: Permit, database: string): void {
    const slip = {
      format: 1,
      id: permit.id,
      permit_sha256: hashOf(permit),
      database: realpathSync(database),
      machine: machine(),
    };
    this.#make(this.#path(permit.id), slip);
  }

  /** Why a permit is not one that this user signed on this machine for this database, and has not used; empty when it is. */
  faults(permit: Permit, database: string): string[] {
    let slip: z.output<typeof slipSchema>;
    try {
      slip = slipSchema.parse(JSON.parse(readRegular(this.#path(permit.id), MOST_BYTES).toString()));
    } catch {
      return ['this user has not signed it on this machine'];
    }
    const here = realpathSync(database);
    return [
      slip.machine !== machine() && 'it was signed on another machine',
      slip.database !== here && `it was signed for the database ${slip.database}, and this is ${here}`,
      slip.permit_sha256 !== hashOf(permit) && 'it was changed in the database after it was signed',
    ].filter((fault) => fault !== false);
  }

  /**
   * Takes a permit for one run that is about to begin. Of several that try at once, one succeeds. What is taken is spent once the run
   * has begun, and given back where none could; who is killed in between has begun nothing, and keeps nobody out.
   *
   * @returns null when it is spent, or taken by another run right now
   * @throws PermitNotKept
   */
  take({ id }: Pick<Permit, 'id'>): TakenPermit | null {
    const spent = `${this.#path(id)}.spent`;
    const tries = this.#tries(id);
    if (existsSync(spent) || tries.some(({ pid }) => isAlive(pid))) return null;
    // Each try has a file of its own, which only its owner takes away: nobody can take another's for one that was left.
    const own = `${this.#path(id)}.try-${Math.max(0, ...tries.map(({ number }) => number)) + 1}`;
    try {
      this.#make(own, { pid: process.pid });
    } catch (error) {
      if (error instanceof PermitNotKept && (error.cause as NodeJS.ErrnoException).code === 'EEXIST')
        return null;
      throw error;
    }
    const giveBack = () => rmSync(own, { force: true });
    // Another run may have come, and begun, since this one looked.
    if (existsSync(spent)) {
      giveBack();
      return null;
    }
    return { giveBack, spend: () => this.#inWords(spent, () => renameSync(own, spent)) };
  }

  /** Who has taken a permit and neither spent it nor given it back. One that does not say who it is may be alive. */
  #tries(id: string): { readonly number: number; readonly pid: number }[] {
    const prefix = `${basename(this.#path(id))}.try-`;
    return this.#inWords(this.#folder, () => readdirSync(this.#folder))
      .filter((name) => name.startsWith(prefix))
      .map((name) => {
        const number = Number(name.slice(prefix.length));
        try {
          const text = readRegular(join(this.#folder, name), MOST_BYTES).toString();
          return { number, pid: trySchema.parse(JSON.parse(text)).pid };
        } catch {
          return { number, pid: process.pid };
        }
      });
  }

  /** An id is made by us; one that somebody wrote into a database must not lead out of the folder. */
  #path(id: string): string {
    return join(this.#folder, `${createHash('sha256').update(id).digest('hex').slice(0, 16)}.json`);
  }

  #make(path: string, content: object): void {
    this.#inWords(path, () => {
      mkdirSync(this.#folder, { recursive: true, mode: 0o700 });
      writeFileSync(path, `${JSON.stringify(content)}\n`, { flag: 'wx', mode: 0o600 });
    });
  }

  #inWords<T>(path: string, work: () => T): T {
    try {
      return work();
    } catch (error) {
      throw new PermitNotKept(path, error);
    }
  }
}

/** The same for a permit as it was signed and as it comes back from a database, whatever the order of its fields. */
const hashOf = (permit: Permit): string => createHash('sha256').update(canonicalJson(permit)).digest('hex');

/** The machine by the id that its system was given when it was installed (machine-id(5)), else by its name. */
function machine(): string {
  let id = hostname();
  try {
    id = readRegular('/etc/machine-id', MOST_BYTES).toString().trim() || id;
  } catch {
    // Only Linux has one.
  }
  return createHash('sha256').update(`ohmest ${id}`).digest('hex');
}
