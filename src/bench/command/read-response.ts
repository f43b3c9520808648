import { readFile, stat } from 'node:fs/promises';
import { OhmestError } from '../../errors/ohmest-error.js';
import { decodeWav, type Wav } from '../../signal/decode-wav.js';
import {
  CommandExchange,
  ResponseEmpty,
  ResponseMissing,
  ResponseNotFinite,
  ResponseTooLarge,
  ResponseTooShort,
  ResponseUnreadable,
  ResponseWrongChannels,
  ResponseWrongRate,
} from './command-faults.js';

/** The stimulus that the response has to match. */
export interface ExpectedResponse {
  readonly rate_Hz: number;
  readonly channels: number;
  /** Current shunts, each in a channel of its own behind the others. */
  readonly taps: number;
  readonly frames: number;
  /** Where the program is named, for messages. */
  readonly where: string;
}

/** A response may be four times the stimulus in the widest coding, and this many bytes more. */
const EXTRA_BYTES = 2 ** 26;

/**
 * Reads what the program wrote, in any coding that `decodeWav` takes.
 *
 * @returns one array per channel, at least `frames` long, the first `frames` samples finite
 * @throws a BenchFault for each way in which a response can be missing or wrong
 */
export async function readResponse(
  path: string,
  expected: ExpectedResponse,
): Promise<readonly Float64Array[]> {
  const wav = decode(await fetch(path, expected), expected.where);
  checkShape(wav, expected);
  checkFinite(wav.channels, expected);
  return wav.channels;
}

async function fetch(path: string, { channels, taps, frames, where }: ExpectedResponse): Promise<Buffer> {
  const missing = {
    where,
    what: 'the program ended well but wrote no response',
    mend: 'It must write a WAV file to the path given as {response}',
  };
  try {
    const found = await stat(path);
    if (!found.isFile()) throw new ResponseMissing(missing);
    if (found.size > 4 * 8 * (channels + taps) * frames + EXTRA_BYTES) {
      throw new ResponseTooLarge({
        where,
        what: `the response has ${found.size} bytes for a stimulus of ${frames} frames`,
        mend: 'It must be about as long as the stimulus',
      });
    }
    return await readFile(path);
  } catch (error) {
    if (error instanceof OhmestError) throw error;
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') throw new ResponseMissing(missing);
    const what = `the response could not be read (${(error as Error).message})`;
    throw new CommandExchange({ where, what, cause: error });
  }
}

function decode(bytes: Uint8Array, where: string): Wav {
  try {
    return decodeWav(bytes);
  } catch (error) {
    // decodeWav throws nothing else; the bench is at fault here, not the operator's input.
    const { code, explanation } = error as OhmestError;
    const Fault = code === 'WAV_EMPTY_FILE' || code === 'WAV_NO_SAMPLES' ? ResponseEmpty : ResponseUnreadable;
    throw new Fault({
      where,
      what: `the response cannot be used: ${explanation.what}`,
      mend: 'The program must write a whole WAV file with integer or float samples',
      cause: error,
    });
  }
}

function checkShape(wav: Wav, { rate_Hz, channels, taps, frames, where }: ExpectedResponse): void {
  if (wav.rate_Hz !== rate_Hz) {
    throw new ResponseWrongRate({
      where,
      what: `the response has ${wav.rate_Hz} samples per second, the stimulus ${rate_Hz}`,
      mend: 'The program must keep the rate',
    });
  }
  if (wav.channels.length !== channels + taps) {
    const more = taps > 0 ? ` and there are ${taps} current shunts` : '';
    throw new ResponseWrongChannels({
      where,
      what: `the response has ${wav.channels.length} channels, the stimulus ${channels}${more}`,
      mend:
        taps > 0
          ? 'The program must give back the channels of the stimulus, and behind them one for each current shunt'
          : 'The program must keep the number of channels',
    });
  }
  const present = wav.channels[0]!.length;
  if (present < frames) {
    throw new ResponseTooShort({
      where,
      what: `the response has ${present} frames, the stimulus ${frames}`,
      mend: 'The program must answer the whole stimulus; more than that is cut off',
    });
  }
}

function checkFinite(channels: readonly Float64Array[], { frames, where }: ExpectedResponse): void {
  channels.forEach((samples, i) => {
    for (let frame = 0; frame < frames; frame += 1) {
      if (Number.isFinite(samples[frame])) continue;
      throw new ResponseNotFinite({
        where,
        what: `the response holds ${samples[frame]} in channel ${i + 1} at frame ${frame}`,
        mend: 'Every sample must be a finite number',
      });
    }
  });
}
