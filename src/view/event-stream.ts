import type { ServerResponse } from 'node:http';
import type { Send, Stream } from './local-route.js';

/** What a reader may leave unread before it is given up, and how often a quiet line is shown to be alive. */
const MOST_UNREAD_bytes = 1024 * 1024;
const BEAT_ms = 15_000;

/**
 * Streams server-sent events (WHATWG HTML, section 9.2) to one reader until it goes or `end` is called. Nothing
 * waits for the reader: one that does not keep up is cut off. It may come back and ask anew.
 *
 * @returns what ends the stream in good order
 */
export function streamEvents(response: ServerResponse, { stream }: Stream): () => void {
  const over = new AbortController();
  const write = (text: string): void => {
    if (over.signal.aborted) return;
    response.write(text);
    if (response.writableLength > MOST_UNREAD_bytes) response.destroy();
  };
  const beat = setInterval(() => write(': \n\n'), BEAT_ms);
  beat.unref();
  const stop = (): void => {
    clearInterval(beat);
    over.abort();
  };
  response.on('close', stop);
  response.on('error', stop);
  response.flushHeaders();
  const send: Send = (event, data) => write(`event: ${event}\n${dataLines(data)}\n\n`);
  stream(send, over.signal);
  return () => {
    stop();
    response.end();
  };
}

const dataLines = (data: string): string =>
  data
    .split(/\r\n|\r|\n/)
    .map((line) => `data: ${line}`)
    .join('\n');
