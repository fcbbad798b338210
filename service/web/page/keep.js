// Print, save, open, share, and the sheet.

import { byId, el, fill } from "./build.js";
import { post } from "./service.js";
import { say } from "./words.js";

const SHEET = "application/pdf";

/**
 * Show the buttons; `request()` gives the request as it stands, `sheetRequest()` that of a
 * sheet, `open(text)` takes that of a file.
 */
export function showKeep({ request, sheetRequest, open, tellStatus, failed }) {
  const file = el("input", {
    type: "file",
    id: "file",
    class: "unseen",
    accept: "application/json,.json",
    "aria-label": say("keep.open"),
    tabindex: -1,
    async onchange() {
      const [chosen] = file.files;
      if (chosen) open(await chosen.text());
      file.value = "";
    },
  });
  const link = el("input", { type: "text", id: "link", readonly: true, hidden: true, "aria-label": say("keep.link") });
  const button = (id, press) => el("button", { type: "button", id, onclick: press }, say(`keep.${id}`));
  fill(
    byId("keep-buttons"),
    button("sheet", () => sheet({ sheetRequest, tellStatus, failed })),
    " ",
    button("print", () => window.print()),
    " ",
    button("save", () =>
      hand(new Blob([JSON.stringify(request(), null, 1)], { type: "application/json" }), say("keep.file_name")),
    ),
    " ",
    button("open", () => file.click()),
    file,
    " ",
    button("copy", async () => {
      link.value = window.location.href;
      link.hidden = false;
      link.select();
      try {
        await navigator.clipboard.writeText(link.value);
        tellStatus(say("keep.copied"));
      } catch {
        tellStatus(say("keep.copy_yourself"));
      }
    }),
    " ",
    link,
  );
}

async function sheet({ sheetRequest, tellStatus, failed }) {
  tellStatus(say("keep.sheet_coming"));
  try {
    const made = await post("v1/advice", sheetRequest(), { accept: SHEET });
    if (made) hand(made, say("keep.sheet_name"));
    tellStatus(say(made ? "keep.sheet_made" : "keep.no_sheet"), !made);
  } catch (error) {
    failed(error);
  }
}

function hand(blob, name) {
  const url = URL.createObjectURL(blob);
  const link = el("a", { href: url, download: name });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(url), 60000);
}
