import { type Explanation, InputError } from '../errors/ohmest-error.js';

/** The file is no bundle of ours, or not all of it is there. */
export class NotABundle extends InputError {
  readonly code = 'NOT_A_BUNDLE';
  constructor(file: string, what: string, options?: ErrorOptions) {
    super({ where: file, what, mend: '`ohmest bundle` makes such files; nothing was imported' }, options);
  }
}

/** The bundle holds more, or other things, than a bundle may. */
export class BundleUnsafe extends InputError {
  readonly code = 'BUNDLE_UNSAFE';
  constructor(file: string, what: string, limit: string) {
    super({ where: file, what, mend: `${limit}; nothing was imported` });
  }
}

/** The bundle is of a format that this program does not know yet. */
export class BundleNewer extends InputError {
  readonly code = 'BUNDLE_NEWER';
  constructor(file: string, found: number, known: number) {
    super({
      where: file,
      what: `this bundle has format ${found}, and this ohmest knows formats up to ${known}`,
      mend: 'Import it with the newer ohmest that made it; nothing was imported',
    });
  }
}

/** What the bundle holds is not what its manifest or its run says. */
export class BundleAltered extends InputError {
  readonly code = 'BUNDLE_ALTERED';
  constructor(file: string, what: string) {
    super({
      where: file,
      what,
      mend: 'It was changed or damaged after it was made: ask for it again; nothing was imported',
    });
  }
}

/** A document in the bundle is not what such a document must be. */
export class BundleInvalid extends InputError {
  readonly code = 'BUNDLE_INVALID';
  constructor(file: string, document: string, faults: readonly string[]) {
    const shown = faults.slice(0, 5).join('; ');
    const more = faults.length > 5 ? `; and ${faults.length - 5} more` : '';
    super({
      where: `${file}, ${document}`,
      what: `${shown}${more}`,
      mend: 'No ohmest writes this: ask for the bundle again; nothing was imported',
    });
  }
}

/** A run that was packed cannot be unpacked again. */
export class RunNotPackable extends InputError {
  readonly code = 'RUN_NOT_PACKABLE';
  constructor(run: number, { what, where }: Explanation, options?: ErrorOptions) {
    super(
      {
        what: `run ${run} holds something that no bundle carries: ${where?.split(', ').at(-1)}: ${what}`,
        mend: 'Nothing was written; `ohmest export --format json` writes the run for other programs',
      },
      options,
    );
  }
}

/** A run that is still being recorded cannot be packed. */
export class RunGoesOn extends InputError {
  readonly code = 'RUN_GOES_ON';
  constructor(run: number) {
    super({
      what: `run ${run} is being recorded right now, so that there is no whole of it to pack`,
      mend: 'Wait until it has ended',
    });
  }
}
