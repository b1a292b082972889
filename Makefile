# Every target calls the launcher, which also works where there is no make: python3 launch.py help
PYTHON ?= python3

.DEFAULT_GOAL := help
TARGETS := help run install test check format lock gate postgresql package pythons release words
TARGETS += coverage drill mutate fuzz pictures ratios fuzz-requests fuzz-torque fuzz-wear fuzz-money fuzz-wheels fuzz-letters
TARGETS += score-wear score-look score-wheels score-markings score-stock score-day score-offline clean
.PHONY: $(TARGETS)

# Arguments: make test ARGS="-k torque"
$(TARGETS):
	@$(PYTHON) launch.py $@ $(ARGS)
