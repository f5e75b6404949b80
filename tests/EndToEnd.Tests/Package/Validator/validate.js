// Says "valid", or what is wrong with a bill of materials by the CycloneDX project's own schema: node validate.js FILE
const { readFileSync } = require("node:fs");
const { Spec, Validation } = require("@cyclonedx/cyclonedx-library");
const validator = new Validation.JsonStrictValidator(Spec.Version.v1dot6);
validator.validate(readFileSync(process.argv[2], "utf8")).then((error) => {
  console.log(error === null ? "valid" : JSON.stringify(error, null, 1));
  process.exit(error === null ? 0 : 1);
});
