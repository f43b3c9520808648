import type { RunContent } from './content.js';
import { FORMAT_VERSION } from './manifest.js';
import { MEMBER } from './members.js';

/** What a person finds who unpacks a bundle by hand. */
export function readmeText({ record }: RunContent, carriesCaptures: boolean): string {
  const { run, origin, unit, bench, sequence, started, version } = record;
  return `One run of ohmest, packed to be read anywhere and to be brought into another database.

Run        ${origin?.run ?? run} of the database that it was made into
Unit       ${unit.label}
Bench      ${bench.name}
Sequence   ${sequence.name}
Started    ${started}
Made with  ohmest ${version}

To look at it with ohmest:

    ohmest import FILE --db OTHER.db
    ohmest runs --db OTHER.db

Without ohmest, every member is plain text${carriesCaptures ? ' or WAV' : ''}:

${MEMBER.manifest}    what is in here, with size and SHA-256 (of the bytes of each file)
${MEMBER.run}         points, readings, findings, events; units are part of the names: power_W, thdn_percent
${MEMBER.bench}       the bench file that was used
${MEMBER.sequence}    the sequence that was used
spectra/         the spectrum of each reading of a point, thinned for drawing: dB relative to the fundamental
calibration/     the calibration records that the figures rest on, if any
${MEMBER.claim}        the published claim, if one was given
${MEMBER.permits}     permits for unattended runs, if any
captures/        the samples behind the readings of a point, if they were packed: float WAV, digital full scale 1.0

In ${MEMBER.run} {"number": "NaN"} stands for a figure that is not a number, likewise "Infinity" and "-Infinity".
Bundle format ${FORMAT_VERSION}.
`;
}
