// German, in a module of its own that the panel loads where it is wanted: the
// panel's words, the packs' messages, and what stands in messages as a word.

import { clearance } from "./clearance.js";
import { formulas } from "./formulas.js";
import { hookup } from "./hookup.js";
import { mounting } from "./mounting.js";
import { panel } from "./panel.js";
import { phrases } from "./phrases.js";
import { power } from "./power.js";
import { thermal } from "./thermal.js";

export const texts: Record<string, string> = {
  ...panel,
  ...clearance,
  ...hookup,
  ...mounting,
  ...power,
  ...thermal,
  ...phrases,
  ...formulas,
};
