check tests/fixtures/logged/changed.yaml --rules tests/fixtures/logged/rules --today 2026-03-15
