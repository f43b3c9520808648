import { openStore } from '../../src/store/sqlite/sqlite-store.js';
import { storeContract } from './contract.js';
import { InMemoryStore } from './in-memory.js';
import { scratchFile } from './scratch.js';

storeContract('a SQLite file', () => openStore(scratchFile(), { mode: 'create' }));
storeContract('memory', async () => new InMemoryStore());
