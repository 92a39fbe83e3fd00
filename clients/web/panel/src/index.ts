import { SlipfitPanel } from "./element.js";

export { SlipfitPanel };

if (!customElements.get("slipfit-panel")) customElements.define("slipfit-panel", SlipfitPanel);

declare global {
  interface HTMLElementTagNameMap {
    "slipfit-panel": SlipfitPanel;
  }
}
