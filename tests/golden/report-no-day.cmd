report tests/fixtures/logged/ferry.yaml --rules tests/fixtures/logged/rules --today 2026-03-15 --since 2026-02-30
