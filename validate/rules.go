package validate

import "slices"

// Family is a stretch of the suite.
type Family struct {
	Name  string // one word, by which it is switched off
	Title string
	Rules []*Rule
}

// Families lists the suite in order. The rules are shared values: nobody
// changes them.
func Families() []Family {
	return []Family{
		{"levels", "Levels and claims", levelRules},
		{"protocols", "Protocols", protocolRules},
		{"cables", "Cables", cableRules},
		{"mains", "Mains and fuse", inputRules},
		{"battery", "Battery", batteryRules},
		{"body", "Body", bodyRules},
		{"parts", "Parts", componentRules},
		{"measurements", "Measurements", measurementRules},
	}
}

// Rules lists the suite in order, without the families.
func Rules() []*Rule {
	return slices.Concat(levelRules, protocolRules, cableRules, inputRules,
		batteryRules, bodyRules, componentRules, measurementRules)
}

// RuleNamed returns a rule of the suite, nil if there is none of that name.
func RuleNamed(name string) *Rule {
	for _, r := range Rules() {
		if r.Name == name {
			return r
		}
	}
	return nil
}

// What the levels, ports and headline claims say of each other.
var levelRules = []*Rule{
	ruleLevelPower,
	ruleLevelWithinClaim,
	ruleHeadlineReached,
	ruleClaimRepeated,
	rulePortWithinTotal,
	ruleSplitTotal,
	ruleSplitSum,
	ruleSplitWithinPort,
	ruleLevelRepeated,
	ruleLevelOrder,
	ruleLevelTrend,
	ruleUSBPower,
	rulePowerClass,
}

// What the charging protocols allow.
var protocolRules = []*Rule{
	rulePDVoltage,
	rulePDVoltageStep,
	rulePDCurrentLimit,
	rulePDCurrentStep,
	rulePDPower,
	rulePDMissing,
	rulePDObjects,
	rulePPSRange,
	rulePPSStep,
	rulePPSCurrentStep,
	rulePPSPower,
	rulePPSExpected,
	ruleAVSRange,
	ruleAVSStep,
	ruleAVSPower,
	ruleAVSExpected,
	ruleTypeCVoltage,
	ruleTypeCCurrent,
	ruleBCVoltage,
	ruleBCCurrent,
	ruleQCVoltage,
	ruleQCStep,
	ruleQCCurrent,
	ruleAFCVoltage,
	ruleAFCCurrent,
	ruleSCPVoltage,
	ruleSCPPower,
	ruleUFCSRange,
	ruleUFCSStep,
	ruleUFCSCable,
	ruleQiPower,
	ruleQiFrequency,
	ruleUSBALevel,
	ruleContractVoltage,
}

// What a cable may carry.
var cableRules = []*Rule{
	ruleCableMarker,
	ruleCableCurrent,
	ruleCableVoltage,
	ruleCablePower,
	ruleCablePowerMark,
	ruleCableRate,
	ruleCableRateLength,
	ruleCableSize,
	ruleCableDrop,
	ruleCableGauge,
	ruleCableGaugeDrop,
	ruleCableCarries,
	ruleCableExtended,
}

// What goes in: mains, fuse, input current.
var inputRules = []*Rule{
	ruleMainsVoltage,
	ruleMainsFrequency,
	ruleInputCurrent,
	ruleOutputWithinInput,
	ruleFuseInput,
	ruleFusePower,
	ruleCorrection,
	ruleInletCurrent,
}
