/** A request that the gate has let in. */
export interface LocalRequest {
  /** As the route sees it: without `base`, and without a query. */
  readonly path: string;
  /** What every address of this server begins with, without a closing slash: links are `${base}/where`. */
  readonly base: string;
  readonly query: URLSearchParams;
  /** What the groups of the route's path matched, decoded. */
  readonly params: readonly string[];
  /** Of a POST; empty otherwise. */
  readonly body: string;
  /** What a page must send as `X-Ohmest-Token` when it posts. */
  readonly token: string;
}

/** A document, a script, a picture, a line of text. */
export interface Document {
  readonly status: number;
  readonly type: string;
  readonly body: string | Uint8Array;
  /** What a page has within itself: only these scripts run and only these styles hold. Left out: none. */
  readonly inline?: {
    readonly scripts?: readonly string[];
    /** Scripts that this server has at addresses of its own may be loaded too. */
    readonly ownScripts?: boolean;
    /** `any`: style attributes too, for a page whose drawings need them. */
    readonly styles?: readonly string[] | 'any';
  };
  readonly headers?: Readonly<Record<string, string>>;
}

/** Sends one event of a stream; does nothing once the reader has gone. */
export type Send = (event: string, data: string) => void;

/** Events for as long as the reader stays: `closed` aborts when that is over. */
export interface Stream {
  readonly stream: (send: Send, closed: AbortSignal) => void;
}

export type Answer = Document | Stream;

/** One address of a local server. A RegExp must match the whole path. */
export interface Route {
  readonly method: 'GET' | 'POST';
  readonly path: string | RegExp;
  handle(request: LocalRequest): Answer | Promise<Answer>;
}

/** A line of plain text as an answer. */
export const plainText = (status: number, text: string): Document => ({
  status,
  type: 'text/plain; charset=utf-8',
  body: `${text}\n`,
});
