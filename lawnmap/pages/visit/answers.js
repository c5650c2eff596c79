/* What has to be asked on a first visit, and things that are to be found on the map. */

const ASKED = ["width", "steps", "wire", "irrigation", "cables", "drains", "pond", "gate", "dog", "water", "power"];
const IN_FIGURES = ["width", "steps"];

function showAnswers() {
  const questions = ASKED.map((name) => question(name));
  shownPane(
    "answers",
    element("h2", "", say.answers_title),
    ...questions,
    ...placeForm(showAnswers),
  );
}

function question(name) {
  const answer = { said: null, more: "", ...state.answers[name] };
  const more = element("div", "");
  const set = (part) => (value) => {
    answer[part] = value;
    more.hidden = answer.said !== say.yes && !answer.more;
    if (answer.said || answer.more) {
      state.answers[name] = answer;
    } else {
      delete state.answers[name];
    }
    keep();
  };
  const label = say[`ask_${name}`];
  if (IN_FIGURES.includes(name)) {
    return textField(label, answer.more, set("more"));
  }
  const choices = [say.yes, say.no, say.not_known].map((each) => [each, each]);
  const made = choiceField(label, choices, answer.said, set("said"), { short: true });
  more.append(textField(say.answer_more, answer.more, set("more")));
  more.hidden = answer.said !== say.yes && !answer.more;
  more.querySelector("input").setAttribute("aria-label", `${label} ${say.answer_more}`);
  return element("div", "", made, more);
}

/* Answers as the reply has them: question in words to answer in words. */
function answersAsText() {
  const given = ASKED.filter((name) => state.answers[name]);
  return Object.fromEntries(
    given.map((name) => {
      const { said: chosen, more } = state.answers[name];
      return [say[`ask_${name}`], [chosen, more].filter(Boolean).join(": ")];
    }),
  );
}
