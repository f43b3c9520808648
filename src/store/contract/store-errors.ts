import { inputError } from '../../errors/error-table.js';
import type { InputError } from '../../errors/ohmest-error.js';

/** There is no file where a database was expected. */
export const StoreMissing = inputError('STORE_MISSING', (file: string) => ({
  where: file,
  what: 'there is no database here',
  mend: 'Check the path; `ohmest run` makes the file on its first run',
}));

/** The folder that should hold the database does not exist. */
export const StoreFolderMissing = inputError('STORE_FOLDER_MISSING', (file: string, folder: string) => ({
  where: file,
  what: `the folder ${folder} does not exist`,
  mend: 'Make the folder first or choose another path',
}));

/** The path names a folder. */
export const StoreIsFolder = inputError('STORE_IS_FOLDER', (file: string) => ({
  where: file,
  what: 'this is a folder, not a database file',
  mend: 'Name a file inside it',
}));

/** The file is something other than SQLite. */
export const StoreNotADatabase = inputError('STORE_NOT_A_DATABASE', (file: string, found: string) => ({
  where: file,
  what: `this is not an ohmest database: ${found}`,
  mend: 'Choose another path; the file was left as it is',
}));

/** A sound SQLite file that belongs to another program. */
export const StoreForeign = inputError('STORE_FOREIGN', (file: string) => ({
  where: file,
  what: 'this SQLite file was not made by ohmest',
  mend: 'Choose another path; the file was left as it is',
}));

/** The file's schema is newer than this program knows. */
export const StoreNewer = inputError('STORE_NEWER', (file: string, found: number, known: number) => ({
  where: file,
  what: `this database has schema version ${found}, and this ohmest knows versions up to ${known}`,
  mend: 'Use the newer ohmest that wrote it; the file was left as it is',
}));

/** The file is damaged. */
export const StoreCorrupt = inputError('STORE_CORRUPT', (file: string, detail: string, cause?: unknown) => ({
  where: file,
  what: `the database is damaged (${detail.replaceAll(/[\p{C}\p{Z}]+/gu, ' ')})`,
  mend: `Keep a copy of the file, and of ${file}-wal if there is one; then restore a backup, or save what can be read with: sqlite3 FILE .recover`,
  cause,
}));

/** Another program holds the file and did not let go in time. */
export const StoreLocked = inputError('STORE_LOCKED', (file: string, waited_ms: number, cause?: unknown) => ({
  where: file,
  what: `another program has locked the database and did not let go within ${waited_ms / 1000} s`,
  mend: 'Close the other program, or give another database',
  cause,
}));

/** File or folder may not be written. */
export const StoreReadOnly = inputError(
  'STORE_READ_ONLY',
  (file: string, which: string, cause?: unknown) => ({
    where: file,
    what: `${which} cannot be written`,
    mend: 'Change its permissions or choose another path',
    cause,
  }),
);

/** The operating system does not let us at the file. */
export const StoreUnreachable = inputError(
  'STORE_UNREACHABLE',
  (file: string, detail: string, cause?: unknown) => ({
    where: file,
    what: `the database cannot be opened (${detail})`,
    mend: 'Check the path and its permissions',
    cause,
  }),
);

/** Too little free space to begin a run. */
export const StoreNoRoom = inputError('STORE_NO_ROOM', (file: string, detail: string, cause?: unknown) => ({
  where: file,
  what: `there is not enough room to record a run: ${detail}`,
  mend: 'Free some space or choose a path on another disk',
  cause,
}));

/** No run has this number. */
export const RunNotFound = inputError(
  'RUN_NOT_FOUND',
  (file: string, run: number, newest: readonly string[]) => ({
    where: file,
    what: `there is no run ${run}`,
    mend: newest.length > 0 ? `The newest are ${newest.join(', ')}` : 'The database holds no runs yet',
  }),
);

/** The run is being recorded right now: by another program, or by this one. */
export const RunBusy = inputError('RUN_BUSY', (file: string, run: number, cause?: unknown) => ({
  where: file,
  what: `run ${run} is being recorded by another program right now`,
  mend: 'Wait until it has ended, or end it with Ctrl-C',
  cause,
}));

/** The run has been walked to its end: there is nothing to go on with. */
export const RunComplete = inputError('RUN_COMPLETE', (file: string, run: number) => ({
  where: file,
  what: `run ${run} is complete: all steps of its sequence are completed`,
  mend: 'Start a new run with `ohmest run`',
}));

/** The run that is to be brought in is here already. */
export const RunPresent = inputError('RUN_PRESENT', (file: string, run: number) => ({
  where: file,
  what: `this run is here already: it is run ${run}`,
  mend: `Nothing was imported; look at it with \`ohmest show ${run} --db "${file}"\``,
}));

/** A permit of a run that is to be brought in goes by an id that one of this database has. */
export const PermitTaken = inputError('PERMIT_TAKEN', (file: string, id: string) => ({
  where: file,
  what: `the run stands under permit ${id}, and this database has a permit of that id already`,
  mend: 'Nothing was imported; an earlier state of the same run may be here, or import it into another database',
}));

/** Another run began under the same permit at the same time. */
export const PermitSpent = inputError('PERMIT_SPENT', (file: string, cause?: unknown) => ({
  where: file,
  what: 'another run has just begun under this permit, and a permit serves one run',
  mend: 'Nothing was played. Sign a new one with ohmest permit',
  cause,
}));

/** A run from elsewhere holds something that comes back from a database otherwise than it went in. */
export const RunNotKept = inputError('RUN_NOT_KEPT', (file: string) => ({
  where: file,
  what: 'the run holds texts or figures that no database keeps as they are',
  mend: 'No ohmest writes such a run; nothing was imported',
}));

/** A run that was brought here from elsewhere is to be gone on with. */
export const RunImported = inputError('RUN_IMPORTED', (file: string, run: number) => ({
  where: file,
  what: `run ${run} was imported: it can be resumed only in the database where it was recorded`,
  mend: 'Resume it there, or start a new run',
}));

/** What the database holds of a run no longer is what was recorded. */
export const RunAltered = inputError('RUN_ALTERED', (file: string, run: number, what: string) => ({
  where: file,
  what: `run ${run} is damaged: the SHA-256 stored with it does not match ${what}`,
  mend: 'Restore the database from a backup; every other run that opens is sound',
}));

/** A text that a run rests on no longer is what was stored. */
export const StoredTextChanged = inputError(
  'STORED_TEXT_CHANGED',
  (file: string, run: number, name: string) => ({
    where: file,
    what: `the ${name} stored with run ${run} was changed in the database: its SHA-256 is not the one stored with it`,
    mend: 'The figures of this run can no longer be traced to what they were made with: restore the database from a backup',
  }),
);

/** A run kept no capture of this point, or its file is gone. */
export const CaptureMissing = inputError('CAPTURE_MISSING', (where: string, what: string) => ({
  where,
  what,
}));

/** A capture's file no longer is what was written. */
export const CaptureFileChanged = inputError('CAPTURE_FILE_CHANGED', (where: string) => ({
  where,
  what: 'the capture has changed since it was written (its SHA-256 differs from the one stored)',
  mend: 'Restore it from a backup; the readings in the database are not touched by this',
}));

/** What lies in the place of a database is none; runs that were being recorded into it were made anew from their journals. */
export const StoreRunsRebuilt = inputError(
  'STORE_RUNS_REBUILT',
  (
    file: string,
    { explanation }: InputError,
    rebuilt: readonly { readonly run: number; readonly path: string }[],
    cause?: unknown,
  ) => {
    const runs = rebuilt.map(({ run, path }) => `run ${run} is in ${path}`);
    return {
      where: file,
      what: explanation.what,
      mend: `What was being recorded was made anew from its journal: ${runs.join(', ')}. ${explanation.mend ?? ''}`,
      cause,
    };
  },
);
