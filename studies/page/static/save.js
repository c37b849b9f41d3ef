/** Files to save and the command line to copy. */

/**
 * Saves as a file what the program makes of a corner.
 *
 * @param {"toml"|"slide"|"report"} what
 * @param {{corner: object, units: string, name: string}} fields
 * @param {function(string): void} say hears how it goes, in words
 * @returns {Promise<boolean>} whether there is a file
 */
export async function saveAs(what, fields, say) {
  say(
    {
      toml: "Writing the specimen file…",
      slide: "Drawing the slide…",
      report: "Writing the report page; this may take a minute…",
    }[what],
  );
  try {
    const answer = await fetch(new URL(`save/${what}`, location.href.split("#")[0]), {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify(fields),
    });
    if (!answer.ok) throw new Error(await message(answer));
    const name =
      fileName(answer.headers.get("content-disposition")) ||
      `corner.${{ toml: "toml", slide: "png", report: "html" }[what]}`;
    download(await answer.blob(), name);
    say(`Saved as ${name}, where this browser keeps what it downloads.`);
    return true;
  } catch (error) {
    say(
      `Not saved: ${error instanceof TypeError ? "the program is not running; start it again with glueline page" : error.message}`,
    );
    return false;
  }
}

/**
 * Copies a text; where the browser refuses, shows it selected in a field.
 *
 * @param {string} text
 * @param {{room: HTMLElement, field: HTMLInputElement}} fallback
 * @param {function(string): void} say
 */
export async function copyText(text, fallback, say) {
  try {
    await navigator.clipboard.writeText(text);
    fallback.room.hidden = true;
    say(`Copied: ${text}`);
  } catch {
    fallback.room.hidden = false;
    fallback.field.value = text;
    fallback.field.focus();
    fallback.field.select();
    say("This browser does not let a page copy; the text is selected: press Ctrl and C.");
  }
}

async function message(answer) {
  const text = await answer.text();
  try {
    return JSON.parse(text).message || text;
  } catch {
    return text || `the program answered ${answer.status}`;
  }
}

function fileName(disposition) {
  const plain = /filename="?([^";]+)"?/i.exec(disposition || "");
  return plain ? plain[1].split(/[\\/]/).at(-1) : "";
}

function download(blob, name) {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(blob);
  link.download = name;
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(link.href), 10000);
}
