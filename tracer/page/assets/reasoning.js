/* From evidence to suspects and the next measurement, as tracer/suspects/reasoning.py has it: products and sums over the
   tables of tracer/page/diagnosis.py. Nothing here knows of a page. */
const reasoningOf = (function () {
  const CARES = ["error", "careless"];

  function runs(text) {
    const found = [];
    for (const run of text.split(" ")) {
      const [number, times] = run.split("*").map(Number);
      for (let i = 0; i < (times || 1); i++) found.push(number);
    }
    return found;
  }
  function spans(text) {
    const found = [];
    for (const span of text ? text.split(" ") : []) {
      const [from, to] = span.split("-").map(Number);
      for (let n = from; n <= (to === undefined ? from : to); n++) found.push(n);
    }
    return found;
  }
  const sum = (numbers) => numbers.reduce((a, b) => a + b, 0);
  const xlog = (v) => (v > 0 ? v * Math.log2(v) : 0);
  const entropy = (numbers) => -sum([...numbers].map(xlog));
  const same = (a, b) => a.kind === b.kind && a.where.length === b.where.length && a.where.every((w, i) => w === b.where[i]);

  return function (data) {
    const rates = data.rates, minutes = rates.minutes, limits = data.limits;
    const chanceOf = (table, name) => Math.min(rates[table][name], 1);
    const rounded = (v) => Math.round(v * 10 ** limits.decimals) / 10 ** limits.decimals;
    const faults = { prior: runs(data.faults.p).map((i) => data.priors[i]), group: runs(data.faults.g), words: runs(data.faults.u), shares: data.faults.s.map(runs) };
    const n = faults.prior.length;
    const unsteady = new Set(spans(data.faults.v));
    const groups = data.groups.map(([of, ends, proof]) => { const [name, part, what] = data.suspects[of]; return { name, part, what, ends, proof, members: [] }; });
    faults.group.forEach((g, i) => groups[g].members.push(i));
    const what = (i) => groups[faults.group[i]].what;
    const kinds = Object.keys(data.answers);
    const measurables = data.measure.map((row, at) => {
      const [kind, from, cost, beside, natural, usual, differing, ...more] = row, where = Array.isArray(from) ? from : groups[from].ends;
      const others = differing ? differing.split(";").map((each) => { const [own, faultsOf] = each.split(":"); return [Number(own), spans(faultsOf)]; }) : [];
      const made = { at, kind: kinds[kind], where, minutes: cost, beside, natural, usual: data.chances[usual], others: others.map(([own, of]) => [data.chances[own], of]) };
      made.weighed = others.flatMap(([, of]) => of.filter((i) => what(i) !== "unlisted")).sort((a, b) => a - b);
      if (made.kind === "swapped") made.swap = more;
      if (made.kind === "read") made.scale = more.length ? { kind: more[0], least: more[1], most: more[2] } : { kind: "level", least: limits.least_volts, most: limits.most_volts };
      if (made.kind === "ohms") made.ohm = more.length ? more[0] : null;
      return made;
    });
    const places = new Map(measurables.map((m) => [m.kind + "\n" + m.where.join("\n"), m]));
    const find = (kind, where) => places.get(kind + "\n" + where.join("\n"));

    /* Chances of each word about a colour, where some err: word_chances of tracer/suspects/likelihood.py. */
    function wordChances(shares, error, near) {
      const found = data.words.map(() => 0), count = data.words.length;
      shares.forEach((share, said) => {
        if (!share) return;
        const close = data.near[data.words[said]];
        data.words.forEach((word, w) => {
          const p = w === said ? 1 - error : close.includes(word) ? (error * near) / close.length : (error * (1 - near)) / (count - 1 - close.length);
          found[w] += share * p;
        });
      });
      return found;
    }
    const words = {};
    for (const care of CARES) words[care] = data.shares.map((own) => wordChances(own, chanceOf(care, "word"), chanceOf("error", "near")));
    const appears = {};
    for (const [wanted, text] of Object.entries(data.appears)) appears[wanted] = runs(text);
    const named = data.named.map((text) => {
      const found = data.said.map(() => 0);
      for (const [, letter, percent] of text.matchAll(/([a-z])(\d+)/g)) found[letter.charCodeAt(0) - 97] = Number(percent) / 100;
      return found;
    });

    function withErrors(kind, right, care) {
      const error = chanceOf(care, kind === "swapped" ? "swap" : "probe");
      return right * (1 - error) + ((1 - right) * error) / (data.answers[kind].length - 1);
    }
    function outside(word, before) {
      const first = before.find((o) => o.kind === "seen" && !o.denied);
      if (!first) {
        const told = rates.outside_first, rest = Math.max(0, 1 - sum(Object.values(told))) / (data.words.length - Object.keys(told).length);
        return Math.min(word in told ? told[word] : rest, 1);
      }
      const alike = chanceOf("outside", "same");
      return word === first.word ? alike : (1 - alike) / (data.words.length - 1);
    }
    /* A leg at which no listed fault changes anything: it pulses. */
    const far = (kind) => (kind === "read" ? { usual: data.answers.read.map((word) => (word === "pulsing" ? 1 : 0)), others: [[data.elsewhere, faults.prior.map((_, i) => i).filter((i) => what(i) === "unlisted")]] } : null);
    /* Of one fault, or of all: the chance of what was said, not denied. */
    function said(o, before, care) {
      if (o.kind === "seen") {
        const w = data.words.indexOf(o.word), c = data.colours.indexOf(o.where[0]), usual = data.usual_words[o.where[0]];
        const other = usual ? usual[w] : 1 / data.words.length, far = outside(o.word, before);
        return (i) => {
          const at = faults.shares[c][i];
          if (at >= 0) return words[care][at][w];
          if (at === -1) return 1 / data.words.length;
          return what(i) === "outside" ? far : other;
        };
      }
      if (o.kind === "appears") {
        const error = chanceOf(care, "word"), own = appears[o.where[0]], s = data.said.indexOf(o.word);
        const given = o.given;
        if (given) return (i) => (1 - error) * given.shares[i] + error / given.known;
        return (i) => (1 - error) * named[own[i]][s] + error / data.said.length;
      }
      if (o.kind === "warmth") return (i) => chanceOf("warmth", unsteady.has(i) ? "unsteady" : what(i) === "outside" || what(i) === "unlisted" ? "outside" : "steady");
      if (o.kind === "layer") return (i) => chanceOf("layer", what(i) === "outside" ? "outside" : "path");
      if (o.kind === "shapes") return (i) => { const whole = chanceOf("shapes", what(i) === "outside" ? "outside" : "path"); return o.word === "right" ? whole : 1 - whole; };
      const m = find(o.kind, o.where) || far(o.kind), a = data.answers[o.kind].indexOf(o.word);
      const usual = withErrors(o.kind, m ? m.usual[a] : 0, care), own = new Map();
      for (const [chances, of] of m ? m.others : []) for (const i of of) own.set(i, withErrors(o.kind, chances[a], care));
      return (i) => (own.has(i) ? own.get(i) : usual);
    }
    function chance(o, before, care) {
      const of = said(o, before, care);
      return o.denied ? (i) => 1 - of(i) : of;
    }
    /* Whether a fault explains what was told, errors left out: Likelihood.fits. */
    function fits(i, o) {
      let is;
      if (o.kind === "seen") is = faults.words[i] >= 0 && data.words_shown[faults.words[i]][data.colours.indexOf(o.where[0])] === o.word;
      else if (data.answers[o.kind]) {
        const m = find(o.kind, o.where) || far(o.kind), a = data.answers[o.kind].indexOf(o.word);
        const own = m && m.others.find(([, of]) => of.includes(i));
        is = (own ? own[0][a] : m ? m.usual[a] : 0) >= 0.5;
      } else is = said(o, [], "error")(i) >= (o.kind === "appears" ? 0.2 : 0.5);
      return is !== o.denied;
    }

    /* All that follows from a list of evidence; sockets: part -> whether it sits in one. */
    function after(evidence, sockets) {
      const careless = chanceOf("careless", "person");
      let joint = { error: faults.prior.map((p) => p * (1 - careless)), careless: faults.prior.map((p) => p * careless) };
      const seen = [];
      for (const o of evidence) {
        const again = seen.some((s) => s.word === o.word && s.denied === o.denied && same(s, o)) ? rates.error.again : 1;
        const weighed = {};
        for (const care of CARES) {
          const of = chance(o, seen, care);
          weighed[care] = joint[care].map((p, i) => (p > limits.negligible ? p * (again === 1 ? of(i) : of(i) ** again) : 0));
        }
        seen.push(o);
        const total = sum(CARES.map((care) => sum(weighed[care])));
        if (total > 0) for (const care of CARES) weighed[care] = weighed[care].map((w) => w / total);
        if (total > 0) joint = weighed;
      }
      return new State(joint, seen, sockets || {});
    }

    class State {
      constructor(joint, seen, sockets) {
        this.joint = joint;
        this.seen = seen;
        this.sockets = sockets;
        this.posterior = seen.length ? faults.prior.map((_, i) => joint.error[i] + joint.careless[i]) : faults.prior.slice();
        this.grouped = {};
        for (const care of CARES) {
          const own = new Float64Array(groups.length);
          joint[care].forEach((p, i) => { own[faults.group[i]] += p; });
          this.grouped[care] = own;
        }
        this.before = groups.map((_, g) => this.grouped.error[g] + this.grouped.careless[g]);
        this.known = new Map();
        this.gains = new Map();
      }
      /* Suspects, likeliest first: [group, probability]. */
      suspects() {
        return this.before.map((p, g) => [g, p]).sort((a, b) => rounded(b[1]) - rounded(a[1]) || a[0] - b[0]);
      }
      /* The suspects' weights if every fault gave a word by these chances, a pair for the two cares. */
      plain(pe, pc) {
        const key = pe + " " + pc;
        if (!this.known.has(key)) {
          const { error, careless } = this.grouped, values = error.map((p, g) => p * pe + careless[g] * pc);
          let total = 0, logs = 0;
          for (const v of values) { total += v; logs += xlog(v); }
          this.known.set(key, { values, total, logs });
        }
        return this.known.get(key);
      }
      /* Of one answer: its chance, what its suspects' weights have as sum of x log x, and those that change. */
      outcome(m, a) {
        const pe = withErrors(m.kind, m.usual[a], "error"), pc = withErrors(m.kind, m.usual[a], "careless");
        const plain = this.plain(pe, pc), changed = new Map();
        for (const [chances, of] of m.others) {
          const de = withErrors(m.kind, chances[a], "error") - pe, dc = withErrors(m.kind, chances[a], "careless") - pc;
          for (const i of of) {
            const more = (this.joint.error[i] > limits.negligible ? this.joint.error[i] * de : 0) + (this.joint.careless[i] > limits.negligible ? this.joint.careless[i] * dc : 0);
            if (more) changed.set(faults.group[i], (changed.get(faults.group[i]) || 0) + more);
          }
        }
        let total = plain.total, logs = plain.logs;
        for (const [g, more] of changed) {
          total += more;
          logs += xlog(plain.values[g] + more) - xlog(plain.values[g]);
        }
        return { total, logs, values: plain.values, changed };
      }
      /* What each answer of a measurement would mean, likeliest first: word, its chance, the top suspect after it. */
      outcomes(m) {
        const found = [];
        data.answers[m.kind].forEach((word, a) => {
          const { total, values, changed } = this.outcome(m, a);
          if (total <= limits.negligible) return;
          let best = 0, most = -1;
          groups.forEach((_, g) => {
            const v = Math.max(values[g] + (changed.get(g) || 0), 0) / total;
            if (v >= most) { most = v; best = g; }
          });
          found.push({ word, chance: total, group: best, after: most });
        });
        return found.sort((a, b) => b.chance - a.chance);
      }
      gain(m) {
        if (!this.gains.has(m.at)) {
          let left = entropy(this.before);
          data.answers[m.kind].forEach((_, a) => {
            const { total, logs } = this.outcome(m, a);
            if (total > limits.negligible) left -= total * Math.log2(total) - logs;
          });
          this.gains.set(m.at, left);
        }
        return this.gains.get(m.at);
      }
      count(m) { return this.seen.filter((o) => same(o, m)).length; }
      mostTimes(m) {
        if (m.kind === "ohms" || m.kind === "press") {
          const odd = this.seen.some((o) => same(o, m) && m.usual[data.answers[m.kind].indexOf(o.word)] < limits.odd);
          return odd ? limits.most_times : 1;
        }
        return m.kind === "read" || m.kind === "beep" ? limits.most_times : 1;
      }
      candidates() {
        const last = this.seen.filter((o) => o.kind === "read").pop();
        return measurables.filter((m) => { const made = this.count(m); return !made || made < this.mostTimes(m); }).map((m) => ({ m, minutes: this.minutes(m, last), swept: [] }));
      }
      minutes(m, last) {
        if (m.kind === "read" && last && last.where[0] === m.where[0]) return minutes.next_read;
        if (m.kind === "swapped" && m.where[0] in this.sockets) return m.swap[this.sockets[m.where[0]] ? 0 : 1];
        return m.minutes;
      }
      worth(c) {
        const share = this.count(c.m) ? rates.error.again : 1;
        const gained = sum([c.m, ...c.swept].map((m) => this.gain(m)));
        return (gained / Math.max(minutes.told + c.minutes, limits.moment)) * share;
      }
      tells(m) {
        let told = 0;
        for (const i of m.weighed) told += this.posterior[i];
        return told > limits.telling;
      }
      /* The measurements that are worth most, best first: Reasoning.best_next. */
      next(howMany) {
        const all = this.candidates(), proof = this.proof(all), tells = all.filter((c) => this.tells(c.m));
        const alone = tells.filter((c) => !(c.m.kind in limits.swept));
        const ranked = [...this.sweeps(tells.filter((c) => c.m.kind in limits.swept)), ...alone].map((c) => ({ ...c, worth: this.worth(c) }));
        ranked.sort((a, b) => rounded(b.worth) - rounded(a.worth) || a.m.at - b.m.at);
        const is = (c) => proof && c.m === proof.m && !c.swept.length && c.minutes === proof.minutes;
        return (proof ? [proof, ...ranked.filter((c) => !is(c))] : ranked).slice(0, howMany);
      }
      sweeps(candidates) {
        const together = new Map(), found = [];
        const ordered = candidates.map((c) => ({ c, gain: this.gain(c.m) })).sort((a, b) => rounded(b.gain) - rounded(a.gain) || a.c.m.natural - b.c.m.natural);
        for (const each of ordered) {
          if (!together.has(each.c.m.beside)) together.set(each.c.m.beside, []);
          together.get(each.c.m.beside).push(each);
        }
        for (const [first, ...others] of together.values()) {
          const more = Math.max(minutes[limits.swept[first.c.m.kind]], limits.moment);
          let cost = Math.max(first.c.minutes, limits.moment), gained = first.gain;
          const swept = [];
          for (const each of others.slice(0, limits.most_swept - 1)) {
            if (each.gain / more <= gained / (minutes.told + cost) / 2) break;
            swept.push(each.c.m);
            cost += more;
            gained += each.gain;
          }
          found.push({ m: first.c.m, minutes: Math.round(cost * 1e6) / 1e6, swept });
        }
        return found;
      }
      /* Where one suspect is all but certain, the measurement that would prove it. */
      proof(candidates) {
        const [g, p] = this.suspects()[0];
        if (p < limits.sure || groups[g].proof < 0) return null;
        const m = measurables[groups[g].proof];
        return this.count(m) ? null : candidates.find((c) => c.m === m) || null;
      }
      /* The faults of a suspect; those that all evidence treats alike together: {faults, probability}. */
      waysOf(g) {
        const of = this.seen.map((o) => chance(o, [], "error")), lines = new Map();
        const known = this.seen.map((o, k) => (o.kind === "seen" ? chance(o, this.seen, "error") : of[k]));
        for (const i of [...groups[g].members].sort((a, b) => this.posterior[b] - this.posterior[a] || a - b)) {
          const key = known.map((f) => rounded(f(i))).join(" ");
          if (!lines.has(key)) lines.set(key, { faults: [], probability: 0 });
          const line = lines.get(key);
          line.faults.push(i);
          line.probability += this.posterior[i];
        }
        return [...lines.values()];
      }
      /* Evidence that cannot all be right: pairs at one place that say different things. */
      contradictions() {
        const found = [], told = this.seen.filter((o, i) => !this.seen.slice(0, i).some((p) => same(p, o) && p.word === o.word && p.denied === o.denied));
        told.forEach((b, j) => told.slice(0, j).forEach((a) => {
          if (!same(a, b)) return;
          if (a.word === b.word ? a.denied !== b.denied : !(a.denied || b.denied)) found.push([a, b]);
        }));
        return found;
      }
      /* The chance of a piece of evidence by all that was told beside it (leave one out). */
      chanceOf(o) {
        let inverse = 0;
        for (const care of CARES) {
          const of = chance(o, this.seen, care);
          this.joint[care].forEach((p, i) => { if (p > limits.negligible) inverse += p / Math.max(of(i), limits.negligible); });
        }
        return inverse > 1 ? 1 / inverse : 1;
      }
    }

    /* -- volts and ohms, as tracer/suspects/volts.py and evidence.py take them -- */
    function wordOfVolts(value, scale) {
      const l = limits;
      if (scale.kind === "supply") {
        const share = value / scale.most;
        if (share > 1 + l.supply_within || share < -l.supply_within) return { wrong: value + " V where " + scale.most + " V should be damages chips: measure again, black lead on the board's ground, and check the supply first" };
        return { word: share >= 1 - l.supply_within ? "high" : Math.abs(value) < l.low_volts ? "low" : "between" };
      }
      if (scale.kind === "colour") {
        const span = scale.most - scale.least;
        if (value < l.least_volts || value > Math.max(scale.most + span, l.most_volts)) return { wrong: value + " V at a colour pin cannot be: measure again" };
        return { word: value <= scale.least + l.dark_share * span ? "low" : value > scale.most + l.dark_share * span ? "high" : "between" };
      }
      const [least, most] = scale.kind === "ground" ? [l.least_volts, l.most_volts] : [scale.least, scale.most];
      if (value < least || value > most) return { wrong: value + " V cannot be at a leg of a chip on 5 V: measure again, black lead on the board's ground, and check the supply first" };
      if (scale.kind === "ground" ? value <= l.ground_volts : value < l.low_volts) return { word: "low" };
      return { word: value > l.high_volts ? "high" : "between" };
    }
    function wordOfOhms(value, ohm) {
      const l = limits;
      return value >= l.open_ohm && l.open_ohm > ohm ? "open" : value < ohm * l.short_share ? "short" : value <= ohm * (1 + l.near_share) ? "as it should be" : "wrong value";
    }

    const texts = data.faults.t.map((text) => {
      const [pattern, ...own] = text.split(" ").map(Number);
      let at = 0;
      return data.patterns[pattern].replace(/#/g, () => data.names[own[at++]]);
    });
    const shown = (i) => (faults.words[i] < 0 ? null : data.words_shown[faults.words[i]]);
    return { runs, volts: wordOfVolts, ohms: wordOfOhms, after, faults, groups, measurables, find, fits, texts, shown };
  };
})();
