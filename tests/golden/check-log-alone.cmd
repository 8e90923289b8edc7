check tests/fixtures/logged/ferry.log.yaml --rules tests/fixtures/logged/rules
