package server_test

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/encoding/protowire"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server"
)

// tally is a page that tells what it was made from.
func tally(build *v1.Build, answer *v1.CheckResponse, day string) (string, error) {
	if strings.HasPrefix(build.GetTitle(), "unspeakable") {
		return "", errors.New("the page cannot be written")
	}
	var facts []string
	for _, f := range answer.Facts {
		facts = append(facts, f.GetName())
	}
	return fmt.Sprintf("%s: %d findings, %v, %s", build.GetId(), len(answer.Findings), facts, day), nil
}

func tallying(config server.Config, facts ...string) server.Config {
	config.Sheet = server.SheetMaker{Facts: facts, Make: tally}
	return config
}

// A sheet is made from the answer that Check gives, with the facts that the page
// shows and some pack works out, whatever the question itself wants.
func TestSheetIsMadeOfTheAnswer(t *testing.T) {
	noLeaks(t)
	conn, _ := dial(t, start(t, tallying(server.Config{}, "thermal.chart", "nobody.knows", "clearance.arrangement")))
	check := demoRequest(t)
	answer, err := v1.NewCheckServiceClient(conn).Check(soon(t), check)
	if err != nil {
		t.Fatal(err)
	}
	asked := proto.CloneOf(check)
	asked.Wants = []string{"clearance.drawing"}
	sheet, err := v1.NewSheetServiceClient(conn).MakeSheet(soon(t), &v1.MakeSheetRequest{Check: asked, Day: proto.String("1 May")})
	if err != nil {
		t.Fatal(err)
	}
	want := fmt.Sprintf("%s: %d findings, [clearance.arrangement thermal.chart], 1 May", check.Build.GetId(), len(answer.Findings))
	if sheet.GetHtml() != want || sheet.GetVerdict() != answer.GetVerdict() || !proto.Equal(sheet.Ruleset, answer.Ruleset) {
		t.Errorf("the sheet is %q with %v of %v, want %q with %v of %v",
			sheet.GetHtml(), sheet.GetVerdict(), sheet.GetRuleset(), want, answer.GetVerdict(), answer.Ruleset)
	}
}

// Where a question names the packs to ask, the page goes without the others' facts.
func TestSheetOfSomePacks(t *testing.T) {
	conn, _ := dial(t, start(t, tallying(server.Config{}, "thermal.chart", "clearance.arrangement")))
	check := demoRequest(t)
	check.Packs = []*v1.PackPin{{Name: proto.String("clearance")}}
	sheet, err := v1.NewSheetServiceClient(conn).MakeSheet(soon(t), &v1.MakeSheetRequest{Check: check})
	if err != nil || !strings.Contains(sheet.GetHtml(), "[clearance.arrangement]") {
		t.Errorf("the sheet is %q (%v)", sheet.GetHtml(), err)
	}
}

// What Check refuses no sheet is made of, and the paths are those within the check.
func TestSheetRefusesWhatCheckDoes(t *testing.T) {
	noLeaks(t)
	conn := listen(t, start(t, tallying(drillConfig())).Serve)
	for _, c := range refusals(t) {
		if c.name == "no such fact" || c.name == "too long" { // not looked at; longer than the transport takes
			continue
		}
		request := protowire.AppendBytes(protowire.AppendTag(nil, 1, protowire.BytesType), c.check)
		err := conn.Invoke(soon(t), v1.SheetService_MakeSheet_FullMethodName, &request, new([]byte))
		if status.Code(err) != codes.InvalidArgument {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		v := detailOf[*errdetails.BadRequest](t, err).FieldViolations[0]
		if c.path != "" && !strings.HasPrefix(v.GetField(), c.path) || !strings.Contains(v.GetDescription(), c.reason) {
			t.Errorf("%s: %q: %q, want %q: ...%s...", c.name, v.GetField(), v.GetDescription(), c.path, c.reason)
		}
	}
}

func TestSheetRequestsThatAreNone(t *testing.T) {
	conn := listen(t, start(t, tallying(drillConfig())).Serve)
	field := func(number protowire.Number, text string) []byte {
		return protowire.AppendString(protowire.AppendTag(nil, number, protowire.BytesType), text)
	}
	for name, c := range map[string]struct {
		request      []byte
		path, reason string
	}{
		"no check":         {field(2, "1 May"), "", "empty"},
		"another field":    {field(7, "x"), "", "the request has an unknown field 7"},
		"a number":         {protowire.AppendVarint(protowire.AppendTag(nil, 1, protowire.VarintType), 1), "", "the request is no slipfit.v1.MakeSheetRequest"},
		"cut off":          {field(1, "abcdef")[:4], "", "the request ends in the middle"},
		"a day of bytes":   {field(2, "\xff"), "day", "day is no UTF-8; send text as UTF-8"},
		"an endless day":   {field(2, strings.Repeat("ä", 65)), "day", "day has 65 characters; it may have 64"},
		"a day and a half": {append(field(2, "1 May"), 0x80), "", "the request is no slipfit.v1.MakeSheetRequest"},
	} {
		err := conn.Invoke(soon(t), v1.SheetService_MakeSheet_FullMethodName, &c.request, new([]byte))
		if status.Code(err) != codes.InvalidArgument {
			t.Errorf("%s: %v", name, err)
			continue
		}
		v := detailOf[*errdetails.BadRequest](t, err).FieldViolations[0]
		if v.GetField() != c.path || !strings.Contains(v.GetDescription(), c.reason) {
			t.Errorf("%s: %q: %q, want %q: ...%s...", name, v.GetField(), v.GetDescription(), c.path, c.reason)
		}
	}
}

// Sheets take the same places as checks, are counted like them, and end with their
// caller's patience.
func TestSheetsPassTheSameGate(t *testing.T) {
	noLeaks(t)
	config := tallying(drillConfig())
	config.Checks = 1
	s := start(t, config)
	conn, _ := dial(t, s)
	client := v1.NewSheetServiceClient(conn)
	hold := newLatch(t)
	ended := make(chan error, 1)
	go func() {
		_, err := v1.NewCheckServiceClient(conn).Check(soon(t), hold.held("held"))
		ended <- err
	}()
	eventually(t, "the check is held", func() bool { return now(t, s, "slipfit_checks_in_flight") == 1 })
	_, err := client.MakeSheet(soon(t), &v1.MakeSheetRequest{Check: plainCheck("turned-away")})
	wantCode(t, err, codes.ResourceExhausted)
	detailOf[*errdetails.RetryInfo](t, err)
	hold.open(t)
	if err := <-ended; err != nil {
		t.Fatal(err)
	}

	late := newLatch(t)
	ctx, cancel := context.WithCancel(soon(t))
	go func() {
		_, err := client.MakeSheet(ctx, &v1.MakeSheetRequest{Check: late.held("given-up")})
		ended <- err
	}()
	eventually(t, "the sheet is held", func() bool { return now(t, s, "slipfit_checks_in_flight") == 1 })
	cancel()
	wantCode(t, <-ended, codes.Canceled)
	eventually(t, "its place is free", func() bool { return now(t, s, "slipfit_checks_in_flight") == 0 })
	late.open(t)
	if _, err := client.MakeSheet(soon(t), &v1.MakeSheetRequest{Check: plainCheck("next")}); err != nil {
		t.Fatal(err)
	}
	eventually(t, "the sheets are counted", func() bool {
		return now(t, s, "slipfit_requests_total", `method="/slipfit.v1.SheetService/MakeSheet"`, `code="OK"`) == 1 &&
			now(t, s, "slipfit_requests_total", `method="/slipfit.v1.SheetService/MakeSheet"`, `code="ResourceExhausted"`) == 1
	})
}

func TestPageThatCannotBeWritten(t *testing.T) {
	conn, _ := dial(t, start(t, tallying(drillConfig())))
	check := plainCheck("bad")
	check.Build.Title = proto.String("unspeakable")
	_, err := v1.NewSheetServiceClient(conn).MakeSheet(soon(t), &v1.MakeSheetRequest{Check: check})
	if st := status.Convert(err); st.Code() != codes.Internal || st.Message() != "the page cannot be written" {
		t.Errorf("status is %v", st)
	}
}

// A service that was given no way to make sheets says so.
func TestServiceWithoutSheets(t *testing.T) {
	conn, _ := dial(t, start(t, drillConfig()))
	_, err := v1.NewSheetServiceClient(conn).MakeSheet(soon(t), &v1.MakeSheetRequest{Check: plainCheck("any")})
	wantCode(t, err, codes.Unimplemented)
}
