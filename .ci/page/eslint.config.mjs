// The page's scripts: no eval, no writing of markup, nothing unused, one way to compare.
import js from "@eslint/js";
import globals from "globals";

export default [
    js.configs.recommended,
    {
        languageOptions: { ecmaVersion: 2023, sourceType: "module", globals: globals.browser },
        rules: {
            eqeqeq: "error",
            "no-eval": "error",
            "no-implied-eval": "error",
            "no-new-func": "error",
            "no-var": "error",
            "prefer-const": "error",
            "no-shadow": "error",
            "no-restricted-properties": ["error", { property: "innerHTML" }, { property: "outerHTML" }, { property: "insertAdjacentHTML" }],
            "no-restricted-globals": ["error", "event", "fetch", "XMLHttpRequest"],
        },
    },
];
