rules rules/base/stack.yaml
