package validate

// What cells, packs and rated outputs say of each other.
var batteryRules = []*Rule{
	ruleChargeEnergy,
	ruleCellSum,
	ruleCellCount,
	ruleSeriesVoltage,
	ruleRatedEnergy,
	ruleChemistryVoltage,
	ruleCellSpecificEnergy,
	ruleCellCharge,
	ruleCellMass,
	ruleAirTravel,
	ruleChargeTime,
	ruleCellRate,
	ruleDelivered,
	rulePartCharge,
}

// What size and mass say.
var bodyRules = []*Rule{
	ruleBodySize,
	ruleBodyVolume,
	ruleBodyDensity,
	rulePowerDensity,
	ruleCellsFit,
	ruleCellsMass,
	ruleBankDensity,
	ruleMark,
}

// What the parts of a teardown may be.
var componentRules = []*Rule{
	rulePartWindow,
	rulePartCode,
	rulePreferredNumber,
	ruleRatedVoltage,
	ruleFuseList,
	ruleFuseMarking,
	ruleCrystal,
	rulePackage,
	ruleBridgeVoltage,
	ruleBulkVoltage,
	ruleBulkBehindStage,
	rulePrimarySwitchVoltage,
	ruleLineCapacitorVoltage,
	ruleYCapacitorVoltage,
	ruleFuseVoltage,
	ruleVaristorVoltage,
	ruleRectifierVoltage,
	ruleOutputCapacitorVoltage,
	rulePortSwitchVoltage,
	ruleOnResistance,
	ruleConductionLoss,
	ruleBulkCapacitance,
	ruleYCapacitance,
	ruleCapacitorClass,
	ruleDischarge,
	ruleIsolation,
	ruleSwitchingFrequency,
	ruleResonance,
	ruleParallelSum,
}

// What instruments can have read.
var measurementRules = []*Rule{
	ruleEfficiencyBound,
	ruleEfficiencyWindow,
	ruleEfficiencyFloor,
	ruleConduct,
	ruleLevel,
	ruleHeatBalance,
	ruleEnergyOut,
	ruleEnergyEfficiency,
	ruleMeasuredLoad,
	ruleRipple,
	ruleNoLoadPower,
	ruleTripCurrent,
	ruleTemperatureWindow,
	ruleTemperatureAmbient,
	ruleTouchTemperature,
	ruleTouchCurrent,
	ruleCreepage,
}
