package pipeline

import (
	"slices"

	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/question"
	"ashtally/pipeline/question/adaptive"
	"ashtally/pipeline/question/chain"
	"ashtally/pipeline/question/change"
	"ashtally/pipeline/question/clumping"
	"ashtally/pipeline/question/crop"
	"ashtally/pipeline/question/density"
	"ashtally/pipeline/question/detectability"
	"ashtally/pipeline/question/effort"
	"ashtally/pipeline/question/ground"
	"ashtally/pipeline/question/hosts"
	"ashtally/pipeline/question/lines"
	"ashtally/pipeline/question/model"
	"ashtally/pipeline/question/permutation"
	"ashtally/pipeline/question/ratio"
	"ashtally/pipeline/question/season"
	"ashtally/stats"
	"ashtally/stats/dispersion"
)

// questions each stand after those whose answers they need. Tables, figures and
// sections come in this order.
var questions = []question.Question{
	question.New(effort.Ask, effort.Warnings),
	question.New(lines.Ask, lines.Warnings()...).Giving(question.Lines),
	question.New(density.Ask, density.Warnings()...).Needing(question.Lines).Giving(question.TotalDensities),
	question.New(ratio.Ask, ratio.Warnings()...).Needing(question.Lines),
	question.New(model.Ask, model.Warnings()...),
	question.New(adaptive.Ask, adaptive.Warnings()...),
	question.New(detectability.Ask, detectability.Warnings()...).Needing(question.Lines).Giving(question.Detection | question.CorrectedDensities),
	question.New(season.Ask, season.Warnings()...).Needing(question.Detection).Giving(question.Seasons),
	question.New(chain.Ask, chain.Warnings()...).Giving(question.ChainEnds).
		Needing(question.Lines | question.TotalDensities | question.Detection | question.CorrectedDensities | question.Seasons),
	question.New(permutation.Ask, permutation.Warnings()...),
	question.New(hosts.Ask, hosts.Warnings()...),
	question.New(ground.Ask, ground.Warnings()...).Needing(question.Lines),
	question.New(clumping.Ask, dispersion.Warnings),
	question.New(change.Ask, change.Warnings()...),
	question.New(crop.Ask, crop.Warnings()...).Needing(question.TotalDensities | question.ChainEnds),
}

// warningTypes are those that rows of the result tables may carry.
func warningTypes() []*stats.WarningType {
	all := slices.Concat(stats.Warnings, fieldwork.Warnings)
	for _, q := range questions {
		all = append(all, q.Warnings...)
	}
	return all
}
