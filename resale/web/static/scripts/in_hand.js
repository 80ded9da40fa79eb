// One page at a time has a thing in hand: a draft it writes, a save it mends or sends. The browser's
// locks say so, and open the hand when the page dies. An address that the browser does not trust
// (plain HTTP over a network) has no locks; there the pages ask each other.

const { locks } = navigator;
const PATIENCE = 3000;
const TIME_TO_ANSWER = 300;
const room = !locks && "BroadcastChannel" in window ? new BroadcastChannel("resale.in_hand") : null;
const ours = new Set();
let asked = null;

if (room) {
  room.onmessage = ({ data }) => {
    if (data.ask) room.postMessage({ told: [...ours] });
    else asked?.names.push(...data.told);
  };
}

// Names of what other pages have in hand, among those that begin so.
export async function takenElsewhere(prefix) {
  const names = locks ? (await locks.query()).held.map((one) => one.name) : await askAround();
  return new Set(names.filter((name) => name.startsWith(prefix) && !ours.has(name)));
}

function askAround() {
  if (!room) return Promise.resolve([]);
  if (!asked) {
    const names = [];
    const answer = new Promise((resolve) => {
      setTimeout(() => { asked = null; resolve(names); }, TIME_TO_ANSWER);
    });
    asked = { names, answer };
    room.postMessage({ ask: true });
  }
  return asked.answer;
}

// Resolves to a function that opens the hand, and promises when it is open; refused while another
// page has it.
export async function takeInHand(name, patience = PATIENCE) {
  const open = locks ? await lock(name, patience) : await takeUnlessTold(name, patience);
  ours.add(name);
  return () => { ours.delete(name); return open(); };
}

function lock(name, patience) {
  return new Promise((resolve, reject) => {
    const released = locks.request(name, { signal: AbortSignal.timeout(patience) }, () => new Promise((open) => {
      resolve(() => { open(); return released; });
    }));
    released.catch(reject);
  });
}

// Ours before anybody answers: of two that ask at once neither has it, and nothing is lost by that.
// Asked again while there is patience: whoever said so may only have been asking, or on its way out.
async function takeUnlessTold(name, patience) {
  const before = ours.has(name);
  const until = performance.now() + patience;
  ours.add(name);
  do {
    if (!(await askAround()).includes(name)) return () => {};
  } while (performance.now() < until);
  if (!before) ours.delete(name);
  throw new Error("in another hand");
}

// Does a job with a thing in hand, or nothing where another page has it.
export async function inOneHand(name, job) {
  if (!locks) return job();
  return locks.request(name, { ifAvailable: true }, (one) => (one ? job() : undefined));
}
