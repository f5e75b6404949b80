using Dancerwatch.Signals.FilmPath;

namespace Dancerwatch.Signals.Tests.FilmPath;

public sealed class MinuteBookTests
{
    private readonly MinuteBook _book = new();

    private void Write(double minute, double speed)
    {
        _book.TurnTo(60 * minute);
        _book.Now.RunningSeconds += 60;
        _book.AddSpeed(speed);
    }

    [Fact]
    public void The_book_holds_the_minute_under_way_and_the_fourteen_before()
    {
        for (int minute = 0; minute < 100; minute++)
            Write(minute, speed: minute);

        Assert.Equal(15 * 60, _book.Sum().RunningSeconds);
        Assert.Equal(15, _book.Speeds.Count);
        Assert.InRange(_book.Speeds.Percentile(0.01), 84, 90); // of 85 to 99
    }

    [Fact]
    public void Minutes_without_a_word_are_empty_pages()
    {
        Write(0, speed: 1);
        Write(10, speed: 1);
        Assert.Equal(120, _book.Sum().RunningSeconds);

        Write(16, speed: 1);
        Assert.Equal(120, _book.Sum().RunningSeconds);

        Write(1_000, speed: 1);
        Assert.Equal(60, _book.Sum().RunningSeconds);
        Assert.Equal(1, _book.Speeds.Count);
    }

    [Fact]
    public void The_range_of_a_page_spans_its_means_and_the_widest_page_counts()
    {
        _book.TurnTo(0);
        _book.Now.AddMean(60, seconds: 1);
        _book.Now.AddMean(40, seconds: 1);
        _book.TurnTo(60);
        _book.Now.AddMean(45, seconds: 1);
        _book.Now.AddMean(50, seconds: 1);

        Assert.Equal(20, _book.Worst().RangePercent);
    }

    [Fact]
    public void What_the_unwind_lacks_is_the_share_of_the_asked_film_that_it_did_not_give()
    {
        MinutePage page = new()
        {
            RunningSeconds = 60,
            AskedFilm = 720,
            GivenFilm = 648,
        };
        Assert.Equal(10, page.LackPercent, precision: 9);

        page.RunningSeconds = 5;
        Assert.True(double.IsNaN(page.LackPercent));
    }
}
