package httpapi

import (
	"context"
	"net/http"

	"longpoint/internal/houserules"
)

// HouseRule is one setting, what it may be, and what the company has it at.
type HouseRule struct {
	houserules.Setting
	Value  int64             `json:"value" doc:"In force for the company"`
	Origin houserules.Origin `json:"origin" enum:"built_in,company"`
}

// HouseRules is the table of every house rule.
type HouseRules struct {
	Rules []HouseRule `json:"rules"`
}

// HouseRulesSet is the company's own house rules; those left out are as built in.
type HouseRulesSet struct {
	Set houserules.Set `json:"set" doc:"Value by key; lengths are nanometers"`
}

type (
	rulesOutput   struct{ Body HouseRules }
	setRulesInput struct{ Body HouseRulesSet }
)

const rulesBody = 32 << 10

func (s *Server) registerRules() {
	add(s, operation("get-rules", http.MethodGet, "/rules", "Every house rule and the company's values"),
		func(ctx context.Context, _ *struct{}) (*rulesOutput, error) { return s.rules(ctx) })
	op := operation("set-rules", http.MethodPut, "/rules", "Replace the company's house rules; leads only")
	op.MaxBodyBytes = rulesBody
	add(s, op, func(ctx context.Context, in *setRulesInput) (*rulesOutput, error) {
		v, err := s.viewer(ctx)
		if err != nil {
			return nil, err
		}
		if err := s.cfg.Store.SetHouseRules(ctx, v, in.Body.Set); err != nil {
			return nil, err
		}
		return s.rules(ctx)
	})
}

func (s *Server) rules(ctx context.Context) (*rulesOutput, error) {
	v, err := s.viewer(ctx)
	if err != nil {
		return nil, err
	}
	set, err := s.cfg.Store.HouseRules(ctx, v)
	if err != nil {
		return nil, err
	}
	out := &rulesOutput{Body: HouseRules{Rules: []HouseRule{}}}
	for _, e := range houserules.Explain(houserules.Layer{Origin: houserules.Company, Set: set}) {
		setting, _ := houserules.Find(e.Key)
		out.Body.Rules = append(out.Body.Rules, HouseRule{Setting: setting, Value: e.Value, Origin: e.Origin})
	}
	return out, nil
}
