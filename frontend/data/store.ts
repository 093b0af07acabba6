// The device's one object store, by IndexedDB: read all, read one, and change one in a single transaction that is on
// the disk before it is said to be. It knows nothing of what is kept in it.

const NAME = "ropeladder";
const STORE = "drafts";

let opened: Promise<IDBDatabase> | undefined;

function database(): Promise<IDBDatabase> {
  opened ??= new Promise((resolve, reject) => {
    const asking = indexedDB.open(NAME, 1);
    asking.onupgradeneeded = () => asking.result.createObjectStore(STORE, { keyPath: "id" });
    asking.onerror = () => reject(asking.error);
    asking.onsuccess = () => {
      // A browser may close it under the page, as when storage is cleared: then the next use opens it anew.
      asking.result.onclose = () => {
        opened = undefined;
      };
      resolve(asking.result);
    };
  });
  return opened;
}

async function read<T>(ask: (store: IDBObjectStore) => IDBRequest<T>): Promise<T> {
  const store = (await database()).transaction(STORE).objectStore(STORE);
  return new Promise((resolve, reject) => {
    const asking = ask(store);
    asking.onsuccess = () => resolve(asking.result);
    asking.onerror = () => reject(asking.error);
  });
}

export function one<T>(id: string): Promise<T | undefined> {
  return read<T | undefined>((store) => store.get(id));
}

export function all<T>(): Promise<T[]> {
  return read<T[]>((store) => store.getAll());
}

/** Changes one entry by what `how` makes of it; `undefined` deletes it. Nothing else can come in between. */
export async function change<T extends { readonly id: string }>(
  id: string,
  how: (stood: T | undefined) => T | undefined,
): Promise<T | undefined> {
  const step = (await database()).transaction(STORE, "readwrite", { durability: "strict" });
  const store = step.objectStore(STORE);
  return new Promise((resolve, reject) => {
    let next: T | undefined;
    const asking: IDBRequest<T | undefined> = store.get(id);
    asking.onsuccess = () => {
      try {
        next = how(asking.result);
        if (next) store.put(next);
        else store.delete(id);
      } catch (fault) {
        step.abort();
        reject(fault);
      }
    };
    step.oncomplete = () => resolve(next);
    step.onerror = () => reject(step.error);
    step.onabort = () => reject(step.error);
  });
}
