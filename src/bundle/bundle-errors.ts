import { inputError } from '../errors/error-table.js';
import type { Explanation } from '../errors/ohmest-error.js';

/** The file is no bundle of ours, or not all of it is there. */
export const NotABundle = inputError('NOT_A_BUNDLE', (file: string, what: string, cause?: unknown) => ({
  where: file,
  what,
  mend: '`ohmest bundle` makes such files; nothing was imported',
  cause,
}));

/** The bundle holds more, or other things, than a bundle may. */
export const BundleUnsafe = inputError('BUNDLE_UNSAFE', (file: string, what: string, limit: string) => ({
  where: file,
  what,
  mend: `${limit}; nothing was imported`,
}));

/** The bundle is of a format that this program does not know yet. */
export const BundleNewer = inputError('BUNDLE_NEWER', (file: string, found: number, known: number) => ({
  where: file,
  what: `this bundle has format ${found}, and this ohmest knows formats up to ${known}`,
  mend: 'Import it with the newer ohmest that made it; nothing was imported',
}));

/** What the bundle holds is not what its manifest or its run says. */
export const BundleAltered = inputError('BUNDLE_ALTERED', (file: string, what: string) => ({
  where: file,
  what,
  mend: 'It was changed or damaged after it was made: ask for it again; nothing was imported',
}));

/** A document in the bundle is not what such a document must be. */
export const BundleInvalid = inputError(
  'BUNDLE_INVALID',
  (file: string, document: string, faults: readonly string[]) => {
    const shown = faults.slice(0, 5).join('; ');
    const more = faults.length > 5 ? `; and ${faults.length - 5} more` : '';
    return {
      where: `${file}, ${document}`,
      what: `${shown}${more}`,
      mend: 'No ohmest writes this: ask for the bundle again; nothing was imported',
    };
  },
);

/** A run that was packed cannot be unpacked again. */
export const RunNotPackable = inputError(
  'RUN_NOT_PACKABLE',
  (run: number, { what, where }: Explanation, cause?: unknown) => ({
    what: `run ${run} holds something that no bundle carries: ${where?.split(', ').at(-1)}: ${what}`,
    mend: 'Nothing was written; `ohmest export --format json` writes the run for other programs',
    cause,
  }),
);

/** A run that is still being recorded cannot be packed. */
export const RunGoesOn = inputError('RUN_GOES_ON', (run: number) => ({
  what: `run ${run} is being recorded right now, so that there is no whole of it to pack`,
  mend: 'Wait until it has ended',
}));
