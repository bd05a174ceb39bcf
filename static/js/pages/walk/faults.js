// The fault of a reading that stops: logged with two taps, its photos after it, and taken back with its reading.

import { inForce } from "../../lib/corrected.js";
import { wordsOf } from "../../lib/dom.js";
import { newId } from "../../lib/ids.js";
import { made } from "../../store/outbox.js";
import { photoScreen } from "../photos.js";
import { correctionEntry, faultEntry, faultOf, undoEntry } from "./entries.js";
import { button, faultScreen, strayFault } from "./screens.js";

/** The fault that this phone logged with a reading and did not take back. @param {string} reading its id */
export const faultAfter = (reading) => inForce(made()).find(({ kind, body }) => kind === "fault" && body.reading === reading);

/** Asks about the fault that was logged with a reading which counts no more, or says stop no more. */
export function stray(walk, check, fault, then) {
  const take = () => walk.save(correctionEntry(fault, null, wordsOf("by-mistake")), () => {
    walk.faults -= 1;
    then();
  });
  walk.show([strayFault(check.part_label, fault)], [button("It stays", then), button("Take it back", take, "main")]);
}

/** The fault of a reading that was just kept, filled in: the second tap logs it. */
export function logFault(walk, check, judgement, symptom, reading) {
  const screen = faultScreen(check, judgement, symptom.text, walk.snapshot);
  walk.show([screen.element], [button("No fault, go on", () => walk.next()), button(wordsOf("log-fault"), () => {
    const { photo: wanted, ...fault } = screen.read();
    const entry = faultEntry(walk.snapshot, check.part, { ...fault, reading, photos: wanted ? [newId()] : [] }, symptom);
    walk.save(entry, () => {
      walk.faults += 1;
      walk.kept.undo.kept(() => undoEntry(entry), entry.body.symptom, () => {
        walk.faults -= 1;
        logFault(walk, check, judgement, symptom, reading);
      });
      if (wanted) photo(walk, check, entry);
      else walk.next();
    });
  }, "main")]);
}

/** The fault is safe; only now may the camera open, since that can cost the page its memory. */
function photo(walk, check, entry) {
  const screen = photoScreen(check.part_label, faultOf(entry), entry.body.photos[0]);
  walk.show([screen], [button("Go on", () => walk.next(), "main")]);
}
