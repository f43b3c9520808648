/**
 * One step in the life of the schema. A migration that has been released is never edited: files out
 * there were made by it. Whatever comes later is a new migration with the next number.
 */
export interface Migration {
  /** The file's `user_version` once this migration is in. From 1, without holes. */
  readonly version: number;
  readonly sql: string;
}
