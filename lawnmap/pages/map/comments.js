/* Comments and agreement: written on the map, kept on this device, handed back as a reply. */

const LONGEST = 5000; // characters of a comment, as lawnmap reads them
const LONGEST_NAME = 200;

/* Bring the section of comments to life; returns what makes the fields of one zone. */
function startComments(data, section) {
  if (!section || !data.reply) {
    return () => null;
  }
  const { words } = data.reply;
  const written = keptComments(data.reply);
  const overview = element("ul", "written");
  const changed = () => {
    written.keep();
    overview.replaceChildren(...overviewItems(data, written));
  };
  const hint = element("p", "note", written.keeps ? words.kept : words.not_kept);
  const name = element("input", "");
  name.value = written.by;
  name.maxLength = LONGEST_NAME;
  name.autocomplete = "name";
  name.addEventListener("input", () => {
    written.by = name.value;
    changed();
  });
  section.append(
    hint,
    data.reply.issued ? "" : element("p", "note", words.trial),
    labelled(words.name, name),
    ...saidFields(data, written.of(""), words.whole, changed),
    overview,
    ...replyButtons(data, written, name),
  );
  changed();
  return (zone) => zoneComment(data, written.of(zone.id), changed);
}

/* What was written before on this device, if it keeps anything for a page from disk. */
function keptComments(about) {
  const key = `lawnmap comments ${about.site.id} ${about.issued || about.site.revision}`;
  const written = { by: "", said: {}, keeps: true };
  try {
    const { by, said } = JSON.parse(localStorage.getItem(key) || "{}");
    written.by = String(by || "");
    Object.entries(said || {}).forEach(([zone, each]) => {
      written.said[zone] = {
        id: String(each.id),
        text: String(each.text),
        agreed: each.agreed === true,
        conditions: String(each.conditions),
      };
    });
  } catch {
    written.keeps = false;
  }
  written.of = (zone) => {
    if (!Object.hasOwn(written.said, zone)) {
      written.said[zone] = { id: madeUpId(), text: "", agreed: false, conditions: "" };
    }
    return written.said[zone];
  };
  written.keep = () => {
    try {
      localStorage.setItem(key, JSON.stringify({ by: written.by, said: written.said }));
    } catch {
      written.keeps = false;
    }
  };
  return written;
}

function labelled(label, field) {
  return element("label", "field", element("span", "", label), field);
}

function saidFields(data, said, label, changed) {
  const { words } = data.reply;
  const text = textArea(said.text, 3, (value) => {
    said.text = value;
    changed();
  });
  const fields = [labelled(label, text)];
  if (!data.reply.issued) {
    return fields;
  }
  const conditions = textArea(said.conditions, 2, (value) => {
    said.conditions = value;
    changed();
  });
  const asked = labelled(words.conditions, conditions);
  asked.hidden = !said.agreed;
  const box = element("input", "");
  box.type = "checkbox";
  box.checked = said.agreed;
  box.addEventListener("change", () => {
    said.agreed = box.checked;
    asked.hidden = !box.checked;
    changed();
  });
  const agree = element("label", "agree", box, " ", `${words.agree} (${data.reply.issued})`);
  return [...fields, agree, asked];
}

function textArea(value, rows, changed) {
  const made = element("textarea", "");
  made.value = value;
  made.rows = rows;
  made.maxLength = LONGEST;
  made.addEventListener("input", () => changed(made.value));
  return made;
}

/* The fields of one zone, folded away until they are wanted. */
function zoneComment(data, said, changed) {
  const { words } = data.reply;
  const fields = saidFields(data, said, words.zone, changed);
  const made = element("details", "comment", element("summary", "", words.open), ...fields);
  made.open = Boolean(said.text || said.agreed);
  return made;
}

function zoneTitle(data, zone) {
  const found = data.zones.find((each) => each.id === zone);
  return found ? `${found.number}. ${found.name}` : data.reply.words.whole_plan;
}

/* Comments and agreements as lines of plain text, the whole plan first. */
function writtenLines(data, written) {
  const { words, issued } = data.reply;
  const order = ["", ...data.zones.map((zone) => zone.id)];
  return order
    .filter((zone) => Object.hasOwn(written.said, zone))
    .flatMap((zone) => {
      const said = written.said[zone];
      const where = zoneTitle(data, zone);
      const agreed = `${words.agreed} ${written.by.trim() || "…"} (${issued})`;
      const on = said.conditions.trim() ? `; ${words.on_condition} ${said.conditions.trim()}` : "";
      return [
        said.text.trim() ? `${where}: ${said.text.trim()}` : "",
        issued && said.agreed ? `${where}: ${agreed}${on}` : "",
      ];
    })
    .filter(Boolean);
}

function overviewItems(data, written) {
  return writtenLines(data, written).map((line) => element("li", "", said(line)));
}

/* The reply of everything written; lawnmap reads it back. */
function commentsReply(data, written) {
  const { site, issued } = data.reply;
  const entries = Object.entries(written.said);
  return makeReply({
    kind: "comments",
    site: site,
    issued: issued,
    by: written.by.trim(),
    comments: entries
      .filter(([, each]) => each.text.trim())
      .map(([zone, each]) => ({ id: each.id, zone_id: zone, text: each.text.trim() })),
    agreements: entries
      .filter(([, each]) => issued && each.agreed)
      .map(([zone, each]) => ({
        zone_id: zone,
        issued: issued,
        name: written.by.trim(),
        conditions: each.conditions.trim(),
      })),
  });
}

function replyButtons(data, written, name) {
  const { words } = data.reply;
  const status = element("p", "note", "");
  status.setAttribute("aria-live", "polite");
  const text = element("textarea", "");
  text.readOnly = true;
  text.hidden = true;
  text.rows = 6;
  text.setAttribute("aria-label", words.copy);
  /* Return the reply, or say what it lacks. */
  function ready() {
    const lines = writtenLines(data, written);
    if (!lines.length || !written.by.trim()) {
      status.textContent = lines.length ? words.no_name : words.nothing;
      name.focus();
      return null;
    }
    return commentsReply(data, written);
  }
  const save = button("", words.save, () => {
    const reply = ready();
    if (reply) {
      saveReply(reply);
      status.textContent = `${words.saved} ${reply.name}`;
    }
  });
  const copy = button("", words.copy, async () => {
    const reply = ready();
    if (reply) {
      const lines = [`${data.reply.site.title}: ${written.by.trim()}`, ...writtenLines(data, written)];
      const copied = await copyText(replyAsText(reply, lines), text);
      status.textContent = copied ? words.copied : words.copy_by_hand;
    }
  });
  return [element("p", "buttons", save, copy), status, text];
}
