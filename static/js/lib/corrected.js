// What entries say once their corrections are read. Pure: no page, no storage.

/**
 * The entries as their corrections left them: what was taken back is left out. A correction stays, with the part that it touched.
 * @param {any[]} entries in the order in which they were made
 * @param {any[]} [all] where the entries that they correct are found
 * @returns {any[]}
 */
export function inForce(entries, all = entries) {
  const last = new Map(all.filter(({ kind }) => kind === "correction").map((entry) => [entry.body.of, entry.body]));
  const first = new Map(all.map((entry) => [entry.id, entry]));
  return entries.map((entry) => {
    if (entry.kind === "correction") return { ...entry, body: { ...entry.body, part: first.get(entry.body.of)?.body.part } };
    const correction = last.get(entry.id);
    if (!correction) return entry;
    return correction.body && { ...entry, body: correction.body, match: correction.match == null ? entry.match : correction.match || null };
  }).filter(Boolean);
}
