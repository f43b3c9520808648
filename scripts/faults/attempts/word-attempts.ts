import { once } from 'node:events';
import { readFileSync } from 'node:fs';
import { get } from 'node:http';
import { connect, type Socket } from 'node:net';
import { encodeWav } from '../../../src/signal/encode-wav.js';
import { SHORT } from '../../../test/cli/stand.js';
import { type Attempt, type Stand, telling } from '../attempt.js';

/** Writing turned about, isolated, of no width; a colour, an erased screen, a line of its own. */
const LABEL = 'red\u202e\u2066\u200b\ufeff box';
const NAME = `a\u001b[31m\u009b2J\u007f${LABEL}\nohmest: all is well`;
const HIDDEN = /(?![\n\t])\p{Cc}|[\u200b\u200e\u200f\u202a-\u202e\u2066-\u2069\ufeff]/u;

const HALF_OPEN = 110;

const tone = () => Float64Array.from({ length: 48_000 }, (_, i) => 0.5 * Math.sin((2 * Math.PI * i) / 48));

async function answerOf(url: string): Promise<number | null> {
  try {
    const [reply] = await once(get(url, { timeout: 20_000 }), 'response');
    reply.resume();
    return reply.statusCode;
  } catch {
    return null;
  }
}

/** The address that `browse` tells, once it serves. */
async function addressOf(stdout: NodeJS.ReadableStream): Promise<string> {
  let said = '';
  for await (const part of stdout) {
    said += part;
    const found = /http:\S+/.exec(said);
    if (found) return found[0];
  }
  throw new Error('no page was served');
}

async function recorded(stand: Stand, label: string): Promise<void> {
  stand.put({ 'short.yaml': SHORT });
  const args = ['run', 'short.yaml', '--bench', 'ideal-40', '--unit', label];
  const { status, stderr } = await stand.ohmest(args);
  if (status !== 0) throw new Error(`no run was recorded: ${stderr}`);
}

/** What reaches a terminal or a page. */
export const WORD_ATTEMPTS: readonly Attempt[] = [
  {
    name: 'hidden-characters',
    words: 'characters that steer a terminal or turn writing about stand in a label and in names of files',
    try: async (stand) => {
      await recorded(stand, LABEL);
      stand.put({ [`${NAME}.db`]: 'no database' });
      const wav = encodeWav({ rate_Hz: 48_000, channels: [tone()], format: 'float32' });
      stand.put({ [`${NAME}.wav`]: wav });
      const lines = [
        ['runs'],
        ['runs', '--json'],
        ['show', '1'],
        ['show', '1', '--json'],
        ['permits', '--db', `${NAME}.db`],
        ['analyse', `${NAME}.wav`],
        ['report', '1', '-o', `${NAME}.html`],
      ];
      const all = [];
      for (const line of lines) all.push({ line, ended: await stand.ohmest(line) });
      const page = readFileSync(stand.at(`${NAME}.html`), 'utf8');
      const met = all.at(-1)!.ended;
      return {
        met: telling(met, /report: .*\.html/),
        misses: [
          ...all.flatMap(({ line: [command], ended: { stdout, stderr } }) => {
            const text = `${stdout}\n${stderr}`;
            return [
              HIDDEN.test(text) && `${command} lets one through`,
              /^ohmest: all is well/m.test(text) && `${command} prints a line that a name made up`,
              !/\\u(?:202e|001b)/i.test(text) && `${command} does not show that one is there`,
            ];
          }),
          (HIDDEN.test(page) || !page.includes('\\u202e')) && 'the page lets one through',
        ],
      };
    },
  },
  {
    name: 'half-open',
    words: `${HALF_OPEN} connections to the page never finish their request`,
    try: async (stand) => {
      await recorded(stand, 'U');
      const child = stand.start(['browse']);
      const halves: Socket[] = [];
      try {
        const url = await addressOf(child.stdout);
        for (let n = 0; n < HALF_OPEN; n += 1) {
          const socket = connect(Number(new URL(url).port), '127.0.0.1');
          socket.on('error', () => {});
          socket.write(n % 2 === 0 ? 'GET / HTTP/1.1\r\nHost: ' : '');
          halves.push(socket);
        }
        await Promise.all(halves.map((socket) => once(socket, 'connect')));
        const answer = await answerOf(url);
        const met = {
          status: 0,
          stdout: `whoever holds the token is answered, with status ${answer}`,
          stderr: '',
        };
        return { met, misses: [answer !== 303 && `who holds the token got ${answer ?? 'no answer'}`] };
      } finally {
        for (const socket of halves) socket.destroy();
        child.kill('SIGKILL');
      }
    },
  },
];
