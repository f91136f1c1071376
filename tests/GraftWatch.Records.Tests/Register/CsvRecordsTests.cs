using CsCheck;
using GraftWatch.Records.Register;
using Sylvan.Data.Csv;

namespace GraftWatch.Records.Tests.Register;

public sealed class CsvRecordsTests
{
    // RFC 4180 (October 2005), section 2: the numbered rules with their own examples.
    [Theory]
    [InlineData("aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", "aaa|bbb|ccc/zzz|yyy|xxx")] // rule 1
    [InlineData("aaa,bbb,ccc\r\nzzz,yyy,xxx", "aaa|bbb|ccc/zzz|yyy|xxx")] // rule 2
    [InlineData("\"aaa\",\"bbb\",\"ccc\"\r\nzzz,yyy,xxx", "aaa|bbb|ccc/zzz|yyy|xxx")] // rule 5
    [InlineData("\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,yyy,xxx", "aaa|b\r\nbb|ccc/zzz|yyy|xxx")] // rule 6
    [InlineData("\"aaa\",\"b\"\"bb\",\"ccc\"", "aaa|b\"bb|ccc")] // rule 7
    public void The_rules_of_the_standard_hold(string text, string expected)
    {
        (IReadOnlyList<CsvRecord> records, IReadOnlyList<CsvQuoteFault> faults) = CsvRecords.Read(text);

        Assert.Empty(faults);
        Assert.Equal(expected, string.Join('/', records.Select(r => string.Join('|', r.Cells.Select(c => c.Text)))));
    }

    [Fact]
    public void Lines_are_counted_through_empty_lines_and_cells_of_many_lines()
    {
        IReadOnlyList<CsvRecord> records = CsvRecords.Read("a,b\r\n\r\n\"x\r\ny\",\"1\n2\"\n\nz,w\rq,r").Records;

        Assert.Equal([1, 3, 7, 8], records.Select(r => r.Line));
        Assert.Equal([3, 4], records[1].Cells.Select(c => c.Line));
    }

    [Fact]
    public void What_follows_a_fault_of_quoting_is_still_read()
    {
        (IReadOnlyList<CsvRecord> records, IReadOnlyList<CsvQuoteFault> faults) = CsvRecords.Read("a,b\n\"x\"y,1\nz\"z,2\nfine,3\n");

        Assert.Equal([(2, 0), (3, 0)], faults.Select(f => (f.Line, f.Column)));
        Assert.Equal([false, true, true, false], records.Select(r => r.IsBroken));
        Assert.Equal("fine", records[3].Cells[0].Text);
    }

    [Fact]
    public void A_general_reader_finds_the_same_cells_in_any_table()
    {
        Gen<string> cell = Gen.Char[" ,\"\r\nabc0;"].Array[0, 8].Select(c => "x" + new string(c));
        cell.Array[1, 5].Array[1, 8].Sample(table =>
        {
            string text = string.Concat(table.Select(row => string.Join(',', row.Select(c => "\"" + c.Replace("\"", "\"\"", StringComparison.Ordinal) + "\"")) + "\n"));
            (IReadOnlyList<CsvRecord> records, IReadOnlyList<CsvQuoteFault> faults) = CsvRecords.Read(text);
            Assert.Empty(faults);
            Assert.Equal(OtherReader(text), records.Select(r => r.Cells.Select(c => c.Text).ToArray()));
        });
    }

    private static List<string[]> OtherReader(string text)
    {
        var rows = new List<string[]>();
        using CsvDataReader reader = CsvDataReader.Create(new StringReader(text), new CsvDataReaderOptions { HasHeaders = false, Delimiter = ',' });
        while (reader.Read())
        {
            rows.Add(Enumerable.Range(0, reader.RowFieldCount).Select(reader.GetString).ToArray());
        }

        return rows;
    }
}
